//! The order as a job writes it: what rates are tons of, and what is ordered, trucked and loaded.

use serde::Deserialize;

use super::JobError;
use super::range::{NotApplied, fault, within};
use crate::faults::Faults;
use crate::order::{Driving, Fill, FirstLoads, OrderExtra, Product, RateBasis, Variation};
use crate::spreader::Machine;
use crate::units::{Mass, Quantity, Share, Speed, System, Time, Written};

/// Below this a material is no gypsum, and above it there is no dry matter left.
const PURITY: [Share; 2] = [Share::percent(1.0), Share::percent(100.0)];
/// Wetter than this a material flows out of no spreader.
const MOISTURE: [Share; 2] = [Share::ZERO, Share::percent(50.0)];
/// More than this is no loss but a mistake.
const MOST_LOSS: Share = Share::percent(50.0);
/// More than twice the need is no margin.
const MOST_MARGIN: Share = Share::percent(100.0);
/// The smallest truck that is worth counting.
const LEAST_DELIVERY: Mass = Mass::tons(0.1);
/// Larger than any road truck or train of trucks.
const MOST_DELIVERY: Mass = Mass::tons(200.0);
/// So many light loads would be a field's worth.
const MOST_FIRST_LOADS: u32 = 10;
/// One light load at half a full one: enough to weigh, little to spread wrongly (common practice,
/// no source).
const FIRST_LOADS: u32 = 1;
const FIRST_LOAD_SHARE: Share = Share::percent(50.0);
/// A turn on the headland and a fill with a wheel loader (common practice, no source).
const TURN: Time = Time::seconds(30.0);
const REFILL: Time = Time::minutes(8.0);
/// Slower than this nothing is driven, and faster no loaded spreader on a field or a farm road.
const ROAD_SPEED: [Speed; 2] = [Speed::miles_per_hour(1.0), Speed::miles_per_hour(45.0)];

/// What a job says about the order.
#[derive(Clone, Debug, Default, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct OrderEntry {
    /// What the tiers' rates are tons of; `"as spread"` when absent.
    #[serde(default)]
    pub basis: RateBasis,
    /// Gypsum in the dry mass; the spreader file's when absent.
    pub purity: Option<Written<Share>>,
    /// Water in the mass as spread; the spreader file's when absent.
    pub moisture: Option<Written<Share>>,
    /// What is lost of a delivery; `"0 %"` when absent.
    pub loss: Option<Written<Share>>,
    /// What is lost at the least and at the most, 4 times in 5; taken for exact when absent.
    pub loss_range: Option<[Written<Share>; 2]>,
    /// The water at the least and at the most, 4 times in 5, where rates are pure gypsum; taken for exact when absent.
    pub moisture_range: Option<[Written<Share>; 2]>,
    /// The safety margin on what is spread; `"0 %"` when absent.
    pub margin: Option<Written<Share>>,
    /// The legal payload of a road truck; no trucks are counted when absent.
    pub delivery: Option<Written<Mass>>,
    /// The margin that is enough to do with one truck less; trucks bring all that is ordered when absent.
    pub least_margin: Option<Written<Share>>,
    /// How many first loads are light; `1` when absent.
    pub first_loads: Option<u32>,
    /// How large they are, of a full one; `"50 %"` when absent.
    pub first_load_share: Option<Written<Share>>,
    /// What a turn takes; `"30 s"` when absent.
    pub turn: Option<Written<Time>>,
    /// What filling the hopper takes; `"8 min"` when absent.
    pub refill: Option<Written<Time>>,
    /// How fast the spreader drives to its pile and back; as fast as it spreads when absent.
    pub road_speed: Option<Written<Speed>>,
}

impl OrderEntry {
    /// What is in the product: as the job says, or else the spreader file; none where only one of
    /// purity and moisture is known.
    pub(super) fn product(
        &self,
        file: &str,
        machine: Option<&Machine>,
    ) -> Result<Option<Product>, JobError> {
        let material = |of: Share| Written { value: of, system: System::Us };
        let material = machine.map(|machine| {
            let gypsum = &machine.material;
            (gypsum.purity.map(material), gypsum.moisture.map(material))
        });
        let either =
            |key: &str, own: Option<Written<Share>>, machines: Option<Written<Share>>| match own {
                Some(_) => (format!("[order] {key}"), own),
                None => (format!("spreader, material.{key}"), machines),
            };
        let share = |(setting, written): (String, _), [least, most]: [Share; 2], expected: &str| {
            within(file, &setting, written, least..=most, expected)
        };
        let purity = either("purity", self.purity, material.and_then(|(purity, _)| purity));
        let moisture =
            either("moisture", self.moisture, material.and_then(|(_, moisture)| moisture));
        let mut faults = Faults::default();
        let purity = faults.of(share(purity, PURITY, "1 % to 100 % of the dry mass")).flatten();
        let moisture = share(moisture, MOISTURE, "0 % to 50 % of the mass as spread");
        let moisture = faults.of(moisture).flatten();
        faults.all()?;
        let product = purity.zip(moisture).map(|(purity, moisture)| Product { purity, moisture });
        if product.is_none() && self.basis == RateBasis::PureGypsum {
            let (key, example) = match purity {
                None => ("purity", "purity = \"92 %\""),
                Some(_) => ("moisture", "moisture = \"9 %\""),
            };
            let expected = format!(
                "one such as {example}, or a spreader file, to turn pure gypsum into product"
            );
            return Err(fault(file, &format!("[order] {key}"), "none", expected));
        }
        Ok(product)
    }

    pub(super) fn extra(&self, file: &str) -> Result<OrderExtra, JobError> {
        let (none, mut faults) = (Share::ZERO, Faults::default());
        let expected = "0 % to 50 % of a delivery";
        let loss = within(file, "[order] loss", self.loss, none..=MOST_LOSS, expected);
        let expected = "0 % to 100 % of what is spread";
        let margin = within(file, "[order] margin", self.margin, none..=MOST_MARGIN, expected);
        let [loss, margin] = [loss, margin].map(|share| faults.of(share).flatten());
        faults.all()?;
        Ok(OrderExtra { loss: loss.unwrap_or_default(), margin: margin.unwrap_or_default() })
    }

    /// What is known of how far machine and material stray, but for the weigh tests.
    pub(super) fn variation(
        &self,
        file: &str,
        extra: OrderExtra,
        product: Option<Product>,
    ) -> Result<Variation, JobError> {
        let loss = around(file, "[order] loss_range", self.loss_range, MOST_LOSS, extra.loss)?;
        if self.basis == RateBasis::AsSpread {
            let written = [("[order] moisture_range", self.moisture_range.is_some())];
            NotApplied { file, when: "where rates are tons as spread" }.check(written)?;
        }
        let moisture = product.map(|product| {
            let setting = "[order] moisture_range";
            around(file, setting, self.moisture_range, MOISTURE[1], product.moisture)
        });
        let moisture = moisture.transpose()?.flatten();
        Ok(Variation { weigh_tests: None, loss, moisture })
    }

    pub(super) fn least_margin(
        &self,
        file: &str,
        extra: OrderExtra,
    ) -> Result<Option<Share>, JobError> {
        if self.delivery.is_none() {
            let written = [("[order] least_margin", self.least_margin.is_some())];
            NotApplied { file, when: "without delivery" }.check(written)?;
        }
        let most = extra.margin.show(System::Us, 2);
        let expected = format!("0 % to the margin, {most}");
        let range = Share::ZERO..=extra.margin;
        within(file, "[order] least_margin", self.least_margin, range, &expected)
    }

    pub(super) fn payload(&self, file: &str) -> Result<Option<Mass>, JobError> {
        let expected = "0.1 tons to 200 tons (0.09 t to 181 t)";
        let range = LEAST_DELIVERY..=MOST_DELIVERY;
        within(file, "[order] delivery", self.delivery, range, expected)
    }

    /// How the spreader is filled and driven, if there is one.
    pub(super) fn spreading(
        &self,
        file: &str,
        machine: Option<&Machine>,
    ) -> Result<Option<(Fill, Driving)>, JobError> {
        let Some(machine) = machine else {
            let written = [
                ("[order] first_loads", self.first_loads.is_some()),
                ("[order] first_load_share", self.first_load_share.is_some()),
                ("[order] turn", self.turn.is_some()),
                ("[order] refill", self.refill.is_some()),
                ("[order] road_speed", self.road_speed.is_some()),
            ];
            return NotApplied { file, when: "without a spreader" }.check(written).map(|()| None);
        };
        let (first, turn, refill, road_speed) = self.filling(file)?;
        let (density, legal) = (machine.material.density, machine.legal_load);
        let hopper = Fill::new(machine.hopper_volume, density, legal, first);
        let (swath, speed) = (machine.swath, machine.ground_speed);
        Ok(Some((hopper, Driving { swath, speed, turn, refill, road_speed })))
    }

    /// What it says but for what goes with a spreader, after a check of that.
    pub(super) fn without_spreader(&self, file: &str) -> Result<Self, JobError> {
        self.filling(file)?;
        Ok(Self {
            basis: RateBasis::default(),
            first_loads: None,
            first_load_share: None,
            turn: None,
            refill: None,
            road_speed: None,
            moisture_range: None,
            ..self.clone()
        })
    }

    /// The first loads, what a turn and a refill take, and how fast it drives to the pile.
    fn filling(&self, file: &str) -> Result<(FirstLoads, Time, Time, Option<Speed>), JobError> {
        let mut faults = Faults::default();
        let count = self.first_loads.unwrap_or(FIRST_LOADS);
        if count > MOST_FIRST_LOADS {
            faults.push(fault(file, "[order] first_loads", count.to_string(), "0 to 10"));
        }
        let shares = Share::percent(10.0)..=Share::percent(100.0);
        let expected = "10 % to 100 % of a full load";
        let share =
            within(file, "[order] first_load_share", self.first_load_share, shares, expected);
        let share = faults.of(share).flatten();
        let mut time =
            |setting: &str, written: Option<Written<Time>>, most: f64, expected: &str| {
                let range = Time::ZERO..=Time::minutes(most);
                faults.of(within(file, setting, written, range, expected)).flatten()
            };
        let turn = time("[order] turn", self.turn, 10.0, "0 s to 10 min");
        let refill = time("[order] refill", self.refill, 120.0, "0 min to 120 min");
        let [least, most] = ROAD_SPEED;
        let expected = "1 mph to 45 mph (1.6 km/h to 72.4 km/h)";
        let road = within(file, "[order] road_speed", self.road_speed, least..=most, expected);
        let road = faults.of(road).flatten();
        faults.all()?;
        let first = FirstLoads { count: count as usize, share: share.unwrap_or(FIRST_LOAD_SHARE) };
        Ok((first, turn.unwrap_or(TURN), refill.unwrap_or(REFILL), road))
    }
}

/// A range of shares up to a most, with what is planned in it.
fn around(
    file: &str,
    setting: &str,
    written: Option<[Written<Share>; 2]>,
    most: Share,
    planned: Share,
) -> Result<Option<[Share; 2]>, JobError> {
    let Some(ends) = written.map(|ends| ends.map(|end| end.value)) else { return Ok(None) };
    let [low, high] = ends;
    if Share::ZERO <= low && low <= planned && planned <= high && high <= most {
        return Ok(Some(ends));
    }
    let show = |share: Share| format!("\"{}\"", share.show(System::Us, 2));
    let found = format!("[{}, {}]", show(low), show(high));
    let expected = format!(
        "the least and then the most, with what is planned, {}, between them, and at most {}",
        planned.show(System::Us, 2),
        most.show(System::Us, 0)
    );
    Err(fault(file, setting, found, expected))
}
