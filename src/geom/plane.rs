//! Planes through heads: exact through three points, least squares through more.

use geo::Coord;

/// The slope of a plane: change of head per metre east and north.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Slope {
    /// dh/dx, head unit per m east.
    pub east: f64,
    /// dh/dy, head unit per m north.
    pub north: f64,
}

impl Slope {
    /// The steepness, head unit per m.
    #[must_use]
    pub fn magnitude(self) -> f64 {
        libm::hypot(self.east, self.north)
    }
}

/// Twice the signed area of a triangle: positive when counter-clockwise.
///
/// # Units
/// - m in, m² out
#[must_use]
pub fn doubled_area([a, b, c]: [Coord; 3]) -> f64 {
    (b.x - a.x) * (c.y - a.y) - (c.x - a.x) * (b.y - a.y)
}

/// The plane through three points, by the gradients of the linear basis functions.
///
/// `None` when the three points have no area.
///
/// # Units
/// - `corners`: m; `heads`: any one unit; returns: that unit per m
///
/// # References
/// Pinder, Celia and Gray (1981), Ground Water 19(3), 262-264. `docs/methods.md`, eq. 5.
#[must_use]
pub fn slope_of_triangle(corners: [Coord; 3], heads: [f64; 3]) -> Option<Slope> {
    SlopeOfHeads::new(corners).map(|slope| slope.of(heads))
}

/// What the slope of one triangle is for any heads at its corners.
#[derive(Debug, Clone, Copy)]
pub struct SlopeOfHeads {
    /// By the rise from the first corner to the second, times twice the area.
    second: Slope,
    third: Slope,
    area2: f64,
}

impl SlopeOfHeads {
    /// `None` when the three points have no area.
    ///
    /// # Units
    /// - `corners`: m
    #[must_use]
    pub fn new(corners: [Coord; 3]) -> Option<Self> {
        let [a, b, c] = corners;
        let area2 = doubled_area(corners);
        (area2 != 0.0).then_some(Self {
            second: Slope { east: c.y - a.y, north: a.x - c.x },
            third: Slope { east: a.y - b.y, north: b.x - a.x },
            area2,
        })
    }

    /// [`slope_of_triangle`] for these heads.
    #[must_use]
    pub fn of(&self, heads: [f64; 3]) -> Slope {
        // Heads relative to the first: the differences are exact or nearly so, and the first basis
        // function drops out.
        let (hb, hc) = (heads[1] - heads[0], heads[2] - heads[0]);
        Slope {
            east: (hb * self.second.east + hc * self.third.east) / self.area2,
            north: (hb * self.second.north + hc * self.third.north) / self.area2,
        }
    }
}

/// A least-squares plane `h = mean_head + east (x - centre.x) + north (y - centre.y)`.
#[derive(Debug, Clone, PartialEq)]
pub struct FittedPlane {
    /// The mean position, m.
    pub centre: Coord,
    /// The mean head, head unit.
    pub mean_head: f64,
    /// The slope.
    pub slope: Slope,
    /// Observed minus fitted, one for each point, head unit.
    pub residuals: Vec<f64>,
    /// Coefficient of determination; `None` when all heads are equal, and for three points, which
    /// every plane fits.
    pub r_squared: Option<f64>,
    /// Residual standard deviation with n - 3 degrees of freedom; `None` for three points.
    pub residual_sd: Option<f64>,
    /// Standard errors of the two slopes, head unit per m; `None` for three points.
    pub slope_se: Option<Slope>,
    /// Covariance of the two slopes divided by the residual variance, 1/m²: `[ee, en, nn]`.
    pub unit_covariance: [f64; 3],
}

/// Points are on one line when the determinant of their sums of squares is below this part of the
/// square of their trace.
const ONE_LINE: f64 = 1e-12;

impl FittedPlane {
    /// The sums of squares of the positions about their mean without one of the points, m²:
    /// `[xx, xy, yy]`.
    ///
    /// # Units
    /// - `point`: m; `count`: of all points
    ///
    /// # References
    /// Cook and Weisberg (1982), Residuals and Influence in Regression, A.2 (from memory).
    #[must_use]
    pub fn squares_without(&self, point: Coord, count: usize) -> [f64; 3] {
        let [ee, en, nn] = self.unit_covariance;
        let determinant = ee * nn - en * en;
        let d = point - self.centre;
        let share = count as f64 / (count as f64 - 1.0);
        [
            nn / determinant - share * d.x * d.x,
            -en / determinant - share * d.x * d.y,
            ee / determinant - share * d.y * d.y,
        ]
    }

    /// Whether a plane goes through the others without one of the points, as [`fit_plane`] decides.
    ///
    /// # Units
    /// - `point`: m; `count`: of all points
    #[must_use]
    pub fn stands_without(&self, point: Coord, count: usize) -> bool {
        let [xx, xy, yy] = self.squares_without(point, count);
        count > 3 && xx * yy - xy * xy > ONE_LINE * (xx + yy) * (xx + yy)
    }

    /// The plane's head at a place.
    ///
    /// # Units
    /// - `p`: m; returns: head unit
    #[must_use]
    pub fn at(&self, p: Coord) -> f64 {
        self.mean_head
            + self.slope.east * (p.x - self.centre.x)
            + self.slope.north * (p.y - self.centre.y)
    }
}

/// The least-squares plane through three or more points.
///
/// `None` for fewer than three points and for points on one line.
///
/// # Units
/// - `points`: m; `heads`: any one unit
///
/// # References
/// Ordinary least squares on centred coordinates; see any text on regression.
/// `docs/methods.md`, eq. 8.
#[must_use]
pub fn fit_plane(points: &[Coord], heads: &[f64]) -> Option<FittedPlane> {
    #[expect(clippy::cast_precision_loss, reason = "counts of wells are far below 2^52")]
    let n = points.len() as f64;
    if points.len() < 3 || points.len() != heads.len() {
        return None;
    }
    let centre = Coord {
        x: points.iter().map(|p| p.x).sum::<f64>() / n,
        y: points.iter().map(|p| p.y).sum::<f64>() / n,
    };
    let mean_head = heads.iter().sum::<f64>() / n;
    let (mut sxx, mut sxy, mut syy, mut sxh, mut syh, mut shh) = (0.0, 0.0, 0.0, 0.0, 0.0, 0.0);
    for (p, h) in points.iter().zip(heads) {
        let (dx, dy, dh) = (p.x - centre.x, p.y - centre.y, h - mean_head);
        sxx += dx * dx;
        sxy += dx * dy;
        syy += dy * dy;
        sxh += dx * dh;
        syh += dy * dh;
        shh += dh * dh;
    }
    let determinant = sxx * syy - sxy * sxy;
    if determinant <= ONE_LINE * (sxx + syy) * (sxx + syy) {
        return None;
    }
    let slope = Slope {
        east: (syy * sxh - sxy * syh) / determinant,
        north: (sxx * syh - sxy * sxh) / determinant,
    };
    let unit_covariance = [syy / determinant, -sxy / determinant, sxx / determinant];
    let mut plane = FittedPlane {
        centre,
        mean_head,
        slope,
        residuals: Vec::new(),
        r_squared: None,
        residual_sd: None,
        slope_se: None,
        unit_covariance,
    };
    plane.residuals = points.iter().zip(heads).map(|(p, h)| h - plane.at(*p)).collect();
    let rss: f64 = plane.residuals.iter().map(|r| r * r).sum();
    if points.len() > 3 {
        plane.r_squared = (shh > 0.0).then(|| 1.0 - rss / shh);
        let sd = (rss / (n - 3.0)).sqrt();
        plane.residual_sd = Some(sd);
        plane.slope_se = Some(Slope {
            east: sd * unit_covariance[0].sqrt(),
            north: sd * unit_covariance[2].sqrt(),
        });
    }
    Some(plane)
}
