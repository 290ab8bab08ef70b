//! Heads of an unconfined unit: interpolated as squares of the saturated thickness.
//!
//! Steady flow over a flat base follows the Laplace equation in the square of the height above
//! that base (Dupuit), so that between two wells the square is the straight line and the head is
//! not (Cole and Silliman 1996, Ground Water Monitoring and Remediation, 84-91).

use crate::check::ControlSet;
use crate::diag::{Code, Diagnostic, listed};
use crate::error::Error;
use crate::triangulate::Mesh;
use crate::units::{LengthUnit, brief};

use super::grid::Grid;

/// A flat base below the water table.
#[derive(Debug)]
pub(crate) struct Saturated {
    /// Its elevation, elevation unit.
    pub(crate) base: f64,
    /// The elevation unit.
    pub(crate) unit: LengthUnit,
}

impl Saturated {
    /// The method in words.
    pub(super) fn words(&self, method: &str) -> String {
        format!(
            "{method}, of the square of the saturated thickness above {} {}",
            brief(self.base),
            self.unit
        )
    }

    /// The mesh with squares of the saturated thickness for heads, and their standard deviations
    /// to first order.
    ///
    /// # Errors
    /// [`Error::Map`] with M407 naming every well whose head is not above the base.
    pub(crate) fn squares(
        &self,
        control: &ControlSet,
        mesh: &Mesh,
        sds: &[f64],
    ) -> Result<(Mesh, Vec<f64>), Error> {
        let below: Vec<&str> = control
            .points()
            .iter()
            .filter(|p| p.head <= self.base)
            .map(|p| p.id.as_str())
            .collect();
        if !below.is_empty() {
            let mut told = Diagnostic::new(
                Code::SurfaceRefused,
                format!(
                    "unconfined_base {} {} is not below the heads of {}",
                    brief(self.base),
                    self.unit,
                    listed(&below)
                ),
            )
            .advice("give the elevation of the aquifer's base, below every head, or leave it out");
            told.wells = below.into_iter().map(str::to_owned).collect();
            return Err(Error::Map(vec![told]));
        }
        let thickness = |h: &f64| h - self.base;
        let squares = mesh.heads().iter().map(|h| thickness(h) * thickness(h)).collect();
        let sds = mesh.heads().iter().zip(sds).map(|(h, sd)| 2.0 * thickness(h) * sd).collect();
        Ok((mesh.with_heads(squares), sds))
    }

    /// Squares back to heads, at every node and along the outline. Nodes whose square is negative,
    /// which only surfaces that overshoot have, lose their head, and that is told.
    pub(super) fn back(
        &self,
        heads: &mut Grid,
        sd: Option<&mut Grid>,
        along: &mut [f64],
    ) -> Option<Diagnostic> {
        let mut dry = 0_usize;
        let mut thickness = |square: f64| {
            dry += usize::from(square < 0.0);
            square.sqrt()
        };
        if let Some(sd) = sd {
            for (sd, square) in sd.heads.iter_mut().zip(&heads.heads) {
                *sd /= 2.0 * square.sqrt();
            }
        }
        for head in &mut heads.heads {
            *head = thickness(*head) + self.base;
        }
        for head in along {
            *head = head.sqrt() + self.base;
        }
        (dry > 0).then(|| {
            Diagnostic::new(
                Code::BelowBase,
                format!("{dry} nodes of the surface lie below unconfined_base and have no head"),
            )
            .advice("use a method that does not overshoot, such as linear, or check the base")
        })
    }
}
