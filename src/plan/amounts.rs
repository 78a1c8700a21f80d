//! Acres and tons of the zones, added up as they are printed.

use geo::{Coord, Polygon};

use super::{FlatRate, Settings, Surfaced, UnspreadPiece, Zone, Zoned};
use crate::field::{AreaApart, Field};
use crate::geometry::{FaceIndex, geodesic_area};
use crate::soil::{Tier, TierIndex, Tiers};
use crate::tonnage::{Amount, Tonnage, tonnage};
use crate::units::{Area, Quantity, Rate};
use crate::zones::ClassOfGround;

/// The zones with their amounts.
pub(super) struct ZoneAmounts {
    pub zones: Vec<Zone>,
    /// The piece of the partition that each zone is.
    pub faces: Vec<FaceIndex>,
    pub unspread: Vec<UnspreadPiece>,
    pub tiers: Vec<(Tier, Amount)>,
    pub total: Amount,
    pub flat: FlatRate,
}

struct SpreadPiece {
    face: FaceIndex,
    tier: TierIndex,
    polygon: Polygon<f64>,
    area: Area,
    cec_mean: f64,
}

impl ZoneAmounts {
    pub fn new(surfaced: &Surfaced, zoned: &Zoned, settings: &Settings) -> Self {
        let (spread, unspread) = pieces(zoned, &surfaced.field, &settings.tiers);
        let rates: Vec<Rate> = settings.tiers.all().map(|tier| tier.rate).collect();
        let areas: Vec<(usize, Area)> =
            spread.iter().map(|piece| (piece.tier.index(), piece.area)).collect();
        let Tonnage { zones: of_zones, tiers: of_tiers, total } =
            tonnage(&areas, &rates, settings.system);
        let pieces_of = spread.iter().map(|piece| piece.face).collect();
        let numbered = (1..).zip(spread).zip(of_zones);
        let all: Vec<Zone> = numbered
            .map(|((number, piece), amount)| Zone {
                number,
                tier: piece.tier,
                polygon: piece.polygon,
                amount,
                cec_mean: piece.cec_mean,
            })
            .collect();
        let share = |zone: &Zone| zone.amount.area / total.area;
        let cec_mean = all.iter().map(|zone| zone.cec_mean * share(zone)).sum();
        let rate = settings.flat.unwrap_or_else(|| settings.tiers.rate(cec_mean));
        let flat = FlatRate {
            cec_mean,
            tier: settings.tiers.tier_of(cec_mean),
            is_stated: settings.flat.is_some(),
            step: settings.flat.is_none().then(|| settings.tiers.step(cec_mean)).flatten(),
            rate,
            mass: rate * total.area,
            even: total.mass / total.area,
        };
        let tiers = settings.tiers.all().cloned().zip(of_tiers).collect();
        Self { zones: all, faces: pieces_of, unspread, tiers, total, flat }
    }
}

/// The pieces as they are written: what is spread, by tier, the larger first, and what is not.
fn pieces(zoned: &Zoned, field: &Field, tiers: &Tiers) -> (Vec<SpreadPiece>, Vec<UnspreadPiece>) {
    let coverage = &zoned.pieces.coverage;
    let nowhere = Coord { x: f64::NAN, y: f64::NAN };
    let place = |id: u32| zoned.places.get(id as usize).copied().unwrap_or(nowhere);
    let (mut spread, mut unspread) = (Vec::new(), Vec::new());
    for ((index, face), &cec_mean) in coverage.indexed().zip(&zoned.cec_means) {
        let polygon = coverage.polygon(face, place);
        let area = geodesic_area(&polygon);
        match ClassOfGround::of(face.class) {
            ClassOfGround::Tier(tier) => {
                spread.push(SpreadPiece { face: index, tier, polygon, area, cec_mean });
            }
            ClassOfGround::Apart(number) => match field.area_apart(number) {
                Some(AreaApart::KeptOut(keep_out)) => unspread.push(UnspreadPiece {
                    keep_out: number,
                    why: keep_out.why.clone(),
                    distance: keep_out.distance,
                    polygon,
                    area,
                    cec_mean,
                }),
                Some(AreaApart::Set(set)) => {
                    let tier = tiers.set(set.layer);
                    spread.push(SpreadPiece { face: index, tier, polygon, area, cec_mean });
                }
                // A piece of none would be lacking when the pieces are held against the field.
                None => debug_assert!(false, "area apart {number} is none of the field's"),
            },
        }
    }
    spread.sort_by(|a: &SpreadPiece, b| {
        a.tier.cmp(&b.tier).then(b.area.si().total_cmp(&a.area.si()))
    });
    (spread, unspread)
}
