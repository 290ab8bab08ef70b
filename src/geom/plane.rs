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
    /// Level ground.
    pub const LEVEL: Self = Self { east: 0.0, north: 0.0 };

    /// The steepness, head unit per m.
    #[must_use]
    pub fn magnitude(self) -> f64 {
        libm::hypot(self.east, self.north)
    }

    /// Level where it is no steeper than rounding can make it.
    ///
    /// # Units
    /// - `rounding`: head unit per m
    #[must_use]
    pub fn beyond(self, rounding: f64) -> Self {
        if self.magnitude() <= rounding { Self::LEVEL } else { self }
    }
}

/// Slopes added up, each times the area that it holds for.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct SlopeSum {
    /// The sum of area times slope to the east, head unit m.
    pub east: f64,
    /// The same to the north.
    pub north: f64,
    /// The area, m².
    pub area: f64,
    /// The sum of area times steepness, whatever the direction.
    sizes: f64,
    /// How many there are.
    terms: f64,
}

impl SlopeSum {
    /// One more.
    ///
    /// # Units
    /// - `slope`: head unit per m; `area`: m²
    pub(crate) fn add(&mut self, slope: Slope, area: f64) {
        self.east += area * slope.east;
        self.north += area * slope.north;
        self.area += area;
        self.sizes += area * slope.magnitude();
        self.terms += 1.0;
    }

    /// The mean slope, level where no more than rounding of the sum and of the positions tells
    /// otherwise.
    ///
    /// # Units
    /// - `rounding_m`: m, of the positions; returns: head unit per m
    #[must_use]
    pub(crate) fn mean(&self, rounding_m: f64) -> Slope {
        let one_side = (self.area / self.terms).sqrt();
        let part = self.terms * f64::EPSILON + 2.0 * rounding_m / one_side;
        Slope { east: self.east / self.area, north: self.north / self.area }
            .beyond(part * self.sizes / self.area)
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
/// # Example
/// The three-point problem: 10 m at the origin, 9 m at 100 m to the east, 9.5 m at 100 m to the north.
/// The head falls by 0.01 to the east and by 0.005 to the north.
///
/// ```
/// use headfall::geo::Coord;
/// use headfall::geom::slope_of_triangle;
///
/// let corners = [(0.0, 0.0), (100.0, 0.0), (0.0, 100.0)].map(|(x, y)| Coord { x, y });
/// let slope = slope_of_triangle(corners, [10.0, 9.0, 9.5]).expect("not on one line");
/// assert!((slope.east + 0.01).abs() < 1e-12 && (slope.north + 0.005).abs() < 1e-12);
/// // The gradient is the root of 0.01² + 0.005², 0.01118.
/// assert!((slope.magnitude() - 0.011_180_34).abs() < 1e-8);
/// ```
///
/// # References
/// Pinder, Celia and Gray (1981), Ground Water 19(3), 262-264. `docs/methods.md`, eq. 5.
#[must_use]
pub fn slope_of_triangle(corners: [Coord; 3], heads: [f64; 3]) -> Option<Slope> {
    SlopeOfHeads::new(corners).map(|slope| slope.of(heads))
}

/// What the slope of one triangle is for any heads at its corners.
#[derive(Debug, Clone, Copy)]
pub(crate) struct SlopeOfHeads {
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
    pub(crate) fn new(corners: [Coord; 3]) -> Option<Self> {
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
    pub(crate) fn of(&self, heads: [f64; 3]) -> Slope {
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
    /// The slope; zero where it is within its rounding.
    pub slope: Slope,
    /// How steep rounding alone can make a plane through these points, head unit per m.
    pub slope_rounding: f64,
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
    pub(crate) fn squares_without(&self, point: Coord, count: usize) -> [f64; 3] {
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
    pub(crate) fn stands_without(&self, point: Coord, count: usize) -> bool {
        let [xx, xy, yy] = self.squares_without(point, count);
        count > 3 && xx * yy - xy * xy > ONE_LINE * (xx + yy) * (xx + yy)
    }

    /// How much of the head of one of its points is in each slope, 1/m.
    ///
    /// # Units
    /// - `p`: m
    #[must_use]
    pub(crate) fn weight(&self, p: Coord) -> Slope {
        let [ee, en, nn] = self.unit_covariance;
        let d = p - self.centre;
        Slope { east: ee * d.x + en * d.y, north: en * d.x + nn * d.y }
    }

    /// How much of the head of one of `count` points is in the plane there: its leverage.
    ///
    /// # Units
    /// - `p`: m
    #[must_use]
    pub(crate) fn leverage(&self, p: Coord, count: usize) -> f64 {
        let (d, w) = (p - self.centre, self.weight(p));
        1.0 / count as f64 + d.x * w.east + d.y * w.north
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
    fit_plane_known_to(points, heads, 0.0)
}

/// [`fit_plane`] where the points themselves are rounded, as those are whose coordinates were large
/// numbers before they were put into a local frame ([`super::Frame::rounding_m`]).
///
/// What rounding leaves is no slope and no residual: a plane is level, and heads lie on it, where no
/// more than that tells otherwise. How much that can be follows from the sizes of the heads, their
/// number, and the spread of the points.
///
/// # Units
/// - `points`, `rounding_m`: m; `heads`: any one unit
///
/// # References
/// Those of [`fit_plane`]; the bound is that on the change of a least-squares solution by errors of
/// its numbers, any text on numerical linear algebra.
#[must_use]
pub fn fit_plane_known_to(points: &[Coord], heads: &[f64], rounding_m: f64) -> Option<FittedPlane> {
    #[expect(clippy::cast_precision_loss, reason = "counts of wells are far below 2^52")]
    let n = points.len() as f64;
    if points.len() < 3 || points.len() != heads.len() {
        return None;
    }
    let centre = Coord {
        x: points.iter().map(|p| p.x).sum::<f64>() / n,
        y: points.iter().map(|p| p.y).sum::<f64>() / n,
    };
    // Heads relative to the first: equal ones stay equal, and the differences are as good as exact.
    let first = heads[0];
    let mean = heads.iter().map(|h| h - first).sum::<f64>() / n;
    let (mut sxx, mut sxy, mut syy, mut sxh, mut syh, mut shh) = (0.0, 0.0, 0.0, 0.0, 0.0, 0.0);
    let mut size = 0.0_f64;
    for (p, h) in points.iter().zip(heads) {
        let (dx, dy, dh) = (p.x - centre.x, p.y - centre.y, h - first - mean);
        sxx += dx * dx;
        sxy += dx * dy;
        syy += dy * dy;
        sxh += dx * dh;
        syh += dy * dh;
        shh += dh * dh;
        size = size.max(h.abs());
    }
    let determinant = sxx * syy - sxy * sxy;
    if determinant <= ONE_LINE * (sxx + syy) * (sxx + syy) {
        return None;
    }
    // The least spread to any side, and the errors: of each head half a digit in what it was read
    // from and half a digit in its unit, of each sum a digit for each of its terms.
    let spread =
        (determinant / (f64::midpoint(sxx, syy) + libm::hypot((sxx - syy) / 2.0, sxy))).sqrt();
    let relief = shh.sqrt();
    let of_heads = f64::EPSILON * (2.0 * n.sqrt() * size + n * relief);
    let slope_rounding = (of_heads + n.sqrt() * rounding_m * relief / spread) / spread;
    let slope = Slope {
        east: (syy * sxh - sxy * syh) / determinant,
        north: (sxx * syh - sxy * sxh) / determinant,
    }
    .beyond(slope_rounding);
    let residual = |(p, h): (&Coord, &f64)| {
        h - first - mean - slope.east * (p.x - centre.x) - slope.north * (p.y - centre.y)
    };
    let mut residuals: Vec<f64> = points.iter().zip(heads).map(residual).collect();
    let of_residuals = of_heads + n.sqrt() * rounding_m * slope.magnitude();
    let mut rss: f64 = residuals.iter().map(|r| r * r).sum();
    if rss.sqrt() <= of_residuals {
        residuals.fill(0.0);
        rss = 0.0;
    }
    let sd = (points.len() > 3).then(|| (rss / (n - 3.0)).sqrt());
    let unit_covariance = [syy / determinant, -sxy / determinant, sxx / determinant];
    Some(FittedPlane {
        centre,
        mean_head: first + mean,
        slope,
        slope_rounding,
        residuals,
        r_squared: sd.and_then(|_| (relief > of_heads).then(|| 1.0 - rss / shh)),
        residual_sd: sd,
        slope_se: sd.map(|sd| Slope {
            east: sd * unit_covariance[0].sqrt(),
            north: sd * unit_covariance[2].sqrt(),
        }),
        unit_covariance,
    })
}
