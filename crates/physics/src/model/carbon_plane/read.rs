//! Reading a run off: carbon at points, depths along rays, lines of equal carbon, rasters.

use casewright_terms::{Length, WeightPercent};

use crate::run::{PlaneRaster, PlaneRun, RayDepth};
use crate::setup::PlanePoint;

impl PlaneRun {
    /// Carbon at a point, also on the far side of a mirror; `None` outside the steel.
    #[must_use]
    pub fn at(&self, _point: PlanePoint) -> Option<WeightPercent> {
        None
    }

    /// Distance from a point to the nearest treated surface, the mirrored ones included; `None`
    /// where nothing is treated.
    #[must_use]
    pub fn depth_at(&self, _point: PlanePoint) -> Option<Length> {
        None
    }

    /// Lines on which the carbon has one value, in metres, in the part that is solved. A closed
    /// line ends where it begins.
    #[must_use]
    pub fn contour(&self, _carbon: WeightPercent) -> Vec<Vec<[f64; 2]>> {
        Vec::new()
    }

    /// The greatest carbon and where it is.
    #[must_use]
    pub fn greatest(&self) -> (WeightPercent, PlanePoint) {
        todo!("signatures first")
    }

    /// The least carbon and where it is.
    #[must_use]
    pub fn least(&self) -> (WeightPercent, PlanePoint) {
        todo!("signatures first")
    }

    /// The least carbon on the straight line between two points of the steel and how far from the
    /// first it is: what is left in the middle of a thin web. `None` where the line leaves the
    /// steel.
    #[must_use]
    pub fn least_between(
        &self,
        _from: PlanePoint,
        _to: PlanePoint,
    ) -> Option<(WeightPercent, Length)> {
        None
    }

    /// First place on the ray from `from` through `towards` where the carbon has fallen to
    /// `carbon`: `None` where it is below it at the start, or does not fall that far before the
    /// ray leaves the steel.
    #[must_use]
    pub fn depth_to_carbon(
        &self,
        _from: PlanePoint,
        _towards: PlanePoint,
        _carbon: WeightPercent,
    ) -> Option<RayDepth> {
        None
    }

    /// Carbon on a regular raster over the window that is solved.
    #[must_use]
    pub fn raster(&self, _columns: usize, _rows: usize) -> PlaneRaster {
        todo!("signatures first")
    }
}
