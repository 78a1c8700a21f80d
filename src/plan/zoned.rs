//! The second stage: the field in connected pieces of one tier, cleaned up.

use geo::Coord;

use super::node_odds::node_odds;
use super::{CleanUp, CleanedUp, PlanError, Rows, Settings, Surfaced};
use crate::soil::Tiers;
use crate::units::Area;
use crate::written::Written;
use crate::zones::{
    BetweenClasses, ClassedNodes, Islands, NodeOdds, Partition, Prefer, Tiered, along_passes,
    clean_up, means, partition,
};

/// A field in pieces of one tier each; what is ordered, trucked and paid for is not in it.
pub struct Zoned {
    /// What it was made by.
    made_by: MadeBy,
    pub(super) pieces: Partition,
    /// Where each vertex of the pieces is written.
    pub(super) places: Vec<Coord<f64>>,
    /// How many pieces were thinner than positions are written.
    pub(super) lost: usize,
    /// The mean CEC of each piece, meq/100 g.
    pub(super) cec_means: Vec<f64>,
    pub(super) cleaned_up: Option<CleanedUp>,
}

/// The settings that decide zones.
#[derive(Clone, Debug, PartialEq)]
struct MadeBy {
    tiers: Tiers,
    clean_up: Option<CleanUp>,
    rows: Option<Rows>,
}

impl MadeBy {
    fn of(settings: &Settings) -> Self {
        let Settings { tiers, clean_up, rows, .. } = settings;
        Self { tiers: tiers.clone(), clean_up: *clean_up, rows: *rows }
    }
}

impl Zoned {
    /// Classes a surface into the tiers of some settings and cuts the field at their breaks.
    ///
    /// # Errors
    /// When passes cannot be cut, or a position has no longitude and latitude.
    pub fn new(surfaced: &Surfaced, settings: &Settings) -> Result<Self, PlanError> {
        let (ground, mesh) = (&surfaced.ground, &*surfaced.mesh);
        let tiers = &settings.tiers;
        let tiered = Tiered { surface: &*ground.surface, tiers };
        let values = &*surfaced.values;
        let mut classes: Vec<u32> = values.iter().map(|&value| tiers.class(value)).collect();
        let (_, beyond) = classes.split_at_mut(ground.nodes.len());
        for (id, at) in mesh.samples() {
            if let Some(class) = beyond.get_mut(id) {
                *class = tiered.class_of_sample(at);
            }
        }
        let raw = partition(mesh, values, &classes, BetweenClasses::Strips, &tiered);
        let islands = settings.clean_up.as_ref().map_or(Islands::Keep, |asked| asked.islands);
        let odds = match islands {
            Islands::Join => node_odds(surfaced, tiers),
            Islands::Keep => Vec::new(),
        };
        let samples = surfaced.field.samples.iter().map(|sample| sample.position).collect();
        let odds = NodeOdds { lattice: &ground.lattice, nodes: odds, samples };
        let drawn = match (&settings.rows, &settings.clean_up) {
            (None, None) => None,
            (None, Some(asked)) => {
                Some(clean_up(&raw, mesh, values, &classes, &tiered, asked, &odds))
            }
            (Some(rows), asked) => {
                let boundary = surfaced.field.boundary.local();
                let lattice = &ground.lattice;
                let nodes = ClassedNodes { lattice, inside: mesh.inside(), classes: &classes };
                let class_at = |at: Coord<f64>| tiers.class(surfaced.cec_at(at));
                let least = asked
                    .map_or((Area::ZERO, Prefer::Nearest), |asked| (asked.min_zone, asked.prefer));
                let apart = surfaced.field.areas_apart();
                let passes = rows.passes(boundary);
                Some(along_passes(boundary, &apart, nodes, class_at, &passes, least, &odds)?)
            }
        };
        let cleaned_up = drawn.as_ref().map(|pieces| CleanedUp::new(&raw.coverage, pieces, tiers));
        let pieces = drawn.unwrap_or(raw);
        let Written { pieces, places, lost } = Written::new(pieces, &surfaced.field.boundary)?;
        let cec_means =
            means(&pieces.coverage, &ground.lattice, &ground.nodes, |at| surfaced.cec_at(at));
        Ok(Self { made_by: MadeBy::of(settings), pieces, places, lost, cec_means, cleaned_up })
    }

    /// Whether the settings ask for these very zones.
    #[must_use]
    pub fn suits(&self, settings: &Settings) -> bool {
        self.made_by == MadeBy::of(settings)
    }
}
