//! Which machines of a log spread, and which of its values say what of which part of them.

use std::collections::BTreeMap;

use super::connections::Joint;
use super::device::Device;
use super::dictionary as ddi;
use super::header::Header;
use crate::read::ReadError;
use crate::timelog::{LoggedMachine, Number, Section, Switch, Total};
use crate::units::{Length, Time};

/// The entries that say that a machine spreads a mass.
const MASSES: [u16; 6] =
    [ddi::SET, ddi::ACTUAL, ddi::FLOW, ddi::CONTENT, ddi::TOTAL, ddi::TOTAL_GRAMS];

/// The machines that log a mass, in the order of their descriptions; `first` is the first number that
/// each value has, for those that have any.
pub(super) fn machines(
    place: &str,
    header: &Header,
    first: &[Option<i32>; 256],
    devices: &[Device],
    joints: &[Joint],
    product: Option<&str>,
) -> Result<Vec<LoggedMachine>, ReadError> {
    let mut found = Vec::new();
    let known = |id: &str| devices.iter().any(|device| device.part(id).is_some());
    let mut unknown: Vec<&str> = header.values.iter().map(|value| value.element.as_str()).collect();
    unknown.retain(|id| !known(id));
    unknown.sort_unstable();
    unknown.dedup();
    let undescribed: Vec<Device> = unknown.into_iter().map(Device::undescribed).collect();
    for (number, device) in devices.iter().chain(&undescribed).enumerate() {
        let logged = Logged::of(header, first, device, product);
        if MASSES.iter().any(|ddi| logged.channels.contains_key(ddi)) {
            let joints = Mounted { device, devices, joints };
            found.extend(machine(place, number, &logged, &joints)?);
        }
    }
    Ok(found)
}

/// What a log has of one machine.
struct Logged<'a> {
    device: &'a Device,
    first: &'a [Option<i32>; 256],
    product: Option<&'a str>,
    /// The values that have a number, by entry: the element and the value.
    channels: BTreeMap<u16, Vec<(usize, u8)>>,
}

impl<'a> Logged<'a> {
    fn of(
        header: &Header,
        first: &'a [Option<i32>; 256],
        device: &'a Device,
        product: Option<&'a str>,
    ) -> Self {
        let mut channels: BTreeMap<u16, Vec<(usize, u8)>> = BTreeMap::new();
        for ((channel, value), first) in (0..=u8::MAX).zip(&header.values).zip(first) {
            if let (Some(ddi), Some(part), Some(_)) =
                (value.ddi, device.part(&value.element), first)
            {
                channels.entry(ddi).or_default().push((part, channel));
            }
        }
        Self { device, first, product, channels }
    }

    fn all(&self, ddi: u16) -> &[(usize, u8)] {
        self.channels.get(&ddi).map_or(&[], Vec::as_slice)
    }

    fn own(&self, part: usize, ddi: u16) -> Option<u8> {
        let mut all = self.all(ddi).iter();
        all.find(|(of, _)| *of == part).map(|(_, channel)| *channel)
    }

    /// A value of an element, or of the nearest that it belongs to.
    fn above(&self, part: usize, ddi: u16) -> Option<u8> {
        self.device.up_from(part).find_map(|part| self.own(part, ddi))
    }

    /// A value of an element or of one that it belongs to, else of the machine's bin, which stands
    /// beside the sections that it feeds.
    fn fed(&self, place: &str, part: usize, ddi: u16) -> Result<Option<u8>, ReadError> {
        match self.above(part, ddi) {
            Some(channel) => Ok(Some(channel)),
            None => self.of_the_machine(place, ddi).map(|bin| bin.map(|(_, channel)| channel)),
        }
    }

    /// The one value of that entry that is no section's: the bin's that was chosen, else the only one.
    fn of_the_machine(&self, place: &str, ddi: u16) -> Result<Option<(usize, u8)>, ReadError> {
        let part = |part: usize| self.device.parts.get(part);
        let whole: Vec<(usize, u8)> =
            self.all(ddi).iter().copied().filter(|(of, _)| !self.is_section(*of)).collect();
        let bins: Vec<&(usize, u8)> = whole
            .iter()
            .filter(|(of, _)| part(*of).is_some_and(|part| part.kind == ddi::BIN))
            .collect();
        let id = |of: usize| part(of).map_or("", |part| part.id.as_str());
        match (bins.as_slice(), self.product) {
            ([], _) => Ok(whole.first().copied()),
            ([only], None) => Ok(Some(**only)),
            ([first, ..], None) => {
                let names: Vec<&str> = bins.iter().map(|(of, _)| id(*of)).collect();
                Err(ReadError::Unexpected {
                    place: place.to_owned(),
                    found: format!("masses of {} bins, {}", names.len(), names.join(", ")),
                    expected: format!("one product; say which (--layer {})", id(first.0)),
                })
            }
            (several, Some(wanted)) => {
                Ok(several.iter().find(|(of, _)| id(*of) == wanted).map(|bin| **bin))
            }
        }
    }

    fn is_section(&self, part: usize) -> bool {
        let part = self.device.parts.get(part);
        part.is_some_and(|part| [ddi::SECTION, ddi::UNIT].contains(&part.kind))
    }

    /// What is fixed of an element, or was logged of it first.
    fn number(&self, part: usize, ddi: u16) -> Option<i32> {
        let fixed = self.device.parts.get(part).and_then(|part| part.fixed.get(&ddi)).copied();
        let logged = || {
            let channel = self.own(part, ddi)?;
            self.first.get(usize::from(channel)).copied().flatten()
        };
        fixed.or_else(logged)
    }

    fn width(&self, part: usize) -> Number {
        let others = || ddi::OTHER_WIDTHS.iter().find_map(|ddi| self.number(part, *ddi));
        let fixed = self.number(part, ddi::WIDTH).or_else(others).filter(|width| *width > 0);
        Number {
            channel: self.own(part, ddi::WIDTH),
            otherwise: fixed.map(|mm| Length::millimetres(f64::from(mm))),
        }
    }

    /// The elements that spread, from the left: the sections, or the units where there are none, of
    /// those that stand one above the other the lowest that have a width.
    fn sections(&self) -> Vec<usize> {
        let of_kind = |kind: u8| -> Vec<usize> {
            let parts = self.device.parts.iter().enumerate();
            let wide = |part: &usize| self.width(*part) != Number::default();
            let mut found: Vec<usize> = parts
                .filter(|(_, part)| part.kind == kind)
                .map(|(at, _)| at)
                .filter(wide)
                .collect();
            let above: Vec<usize> =
                found.iter().flat_map(|part| self.device.up_from(*part).skip(1)).collect();
            found.retain(|part| !above.contains(part));
            found
        };
        let mut found = of_kind(ddi::SECTION);
        if found.is_empty() {
            found = of_kind(ddi::UNIT);
        }
        let right = |part: usize| self.number(part, ddi::RIGHT);
        if found.iter().all(|part| right(*part).is_some()) {
            found.sort_by_key(|part| right(*part));
        } else {
            found.sort_by_key(|part| self.device.parts.get(*part).map_or(0, |part| part.number));
        }
        found
    }
}

/// A machine and what it is coupled to.
struct Mounted<'a> {
    device: &'a Device,
    devices: &'a [Device],
    joints: &'a [Joint],
}

impl Mounted<'_> {
    /// Where the receiver sits, ahead of the machine's reference point and to the right, in mm: on
    /// the machine, or on one that it is coupled to, as if the coupling were stiff. On the reference
    /// point where nothing is said.
    fn receiver(&self) -> [i32; 2] {
        let on = |device: &Device| {
            let receiver = device.parts.iter().position(|part| part.kind == ddi::NAVIGATION)?;
            Some(device.offset(receiver).map(|mm| mm.unwrap_or(0)))
        };
        let coupled = || {
            self.joints.iter().find_map(|Joint([one, other])| {
                let (own, [id, connector]) = match &self.device.id {
                    id if *id == one[0] => (&one[1], other),
                    id if *id == other[0] => (&other[1], one),
                    _ => return None,
                };
                let carrier = self.devices.iter().find(|device| device.id == *id)?;
                let ours = self.device.offset(self.device.part(own)?);
                let theirs = carrier.offset(carrier.part(connector)?);
                let [ahead, right] = on(carrier)?;
                let mm = |offsets: [Option<i32>; 2]| offsets.map(|mm| mm.unwrap_or(0));
                let ([our_x, our_y], [their_x, their_y]) = (mm(ours), mm(theirs));
                Some([sum([ahead, -their_x, our_x]), sum([right, -their_y, our_y])])
            })
        };
        on(self.device).or_else(coupled).unwrap_or([0, 0])
    }
}

fn sum(parts: [i32; 3]) -> i32 {
    parts.into_iter().fold(0, i32::saturating_add)
}

/// What is wanted of a machine; none if of the chosen product it logs nothing.
fn machine(
    place: &str,
    number: usize,
    logged: &Logged,
    mounted: &Mounted,
) -> Result<Option<LoggedMachine>, ReadError> {
    let parts = logged.sections();
    let [ahead, right] = mounted.receiver();
    let millimetres = |mm: i64| Length::millimetres(mm as f64);
    let mut sections = Vec::new();
    if parts.is_empty() {
        let mut section = section(place, logged, whole(logged))?;
        section.ahead = millimetres(offset(logged, whole(logged), ddi::AHEAD) - i64::from(ahead));
        section.right = millimetres(offset(logged, whole(logged), ddi::RIGHT) - i64::from(right));
        sections.push(section);
    }
    let whole_width: f64 = parts.iter().map(|part| width(logged, *part)).sum();
    let mut from_left = -0.5 * whole_width;
    let placed = parts.iter().all(|part| logged.number(*part, ddi::RIGHT).is_some());
    for (order, part) in parts.iter().enumerate() {
        let mut section = section(place, logged, *part)?;
        let middle = from_left + 0.5 * width(logged, *part);
        from_left += width(logged, *part);
        section.ahead = millimetres(offset(logged, *part, ddi::AHEAD) - i64::from(ahead));
        section.right = if placed {
            millimetres(offset(logged, *part, ddi::RIGHT) - i64::from(right))
        } else {
            Length::millimetres(middle - f64::from(right))
        };
        section.switches.extend(condensed(logged, &parts, order));
        sections.push(section);
    }
    let found = LoggedMachine {
        number,
        sections,
        flow: logged.of_the_machine(place, ddi::FLOW)?.map(|(_, channel)| channel),
        totals: totals(place, logged)?,
        areas: counts(logged, ddi::AREA),
        speed: logged.all(ddi::SPEED).first().map(|(_, channel)| *channel),
        latency: latency(logged),
    };
    Ok(found.by().is_some().then_some(found))
}

/// A section without its place.
fn section(place: &str, logged: &Logged, part: usize) -> Result<Section, ReadError> {
    let states = logged.device.up_from(part).filter_map(|part| logged.own(part, ddi::STATE));
    Ok(Section {
        width: logged.width(part),
        set: logged.fed(place, part, ddi::SET)?,
        actual: logged.fed(place, part, ddi::ACTUAL)?,
        flow: logged.own(part, ddi::FLOW).filter(|_| logged.is_section(part)),
        switches: states.map(|channel| Switch { channel, shift: 0 }).collect(),
        ..Section::default()
    })
}

/// The element that stands for a machine without sections: the first that has a width, from the
/// lowest; else the first with a mass.
fn whole(logged: &Logged) -> usize {
    let parts = 0..logged.device.parts.len();
    let wide = parts.rev().find(|part| logged.width(*part) != Number::default());
    let mass = MASSES.iter().find_map(|ddi| logged.all(*ddi).first());
    wide.or(mass.map(|(part, _)| *part)).unwrap_or(0)
}

/// A section's width in mm, as far as it is known beforehand.
fn width(logged: &Logged, part: usize) -> f64 {
    logged.width(part).otherwise.map_or(0.0, Length::as_millimetres)
}

/// An offset in mm, of the element or the nearest that it belongs to.
fn offset(logged: &Logged, part: usize, ddi: u16) -> i64 {
    let offset = logged.device.up_from(part).find_map(|part| logged.number(part, ddi));
    offset.map_or(0, i64::from)
}

/// The bits that the condensed work state has of a section, by its order from the left among those
/// of the element that carries it.
fn condensed(logged: &Logged, parts: &[usize], order: usize) -> Option<Switch> {
    let has = |part: usize| {
        let mut states = ddi::CONDENSED..ddi::CONDENSED + 16;
        states.any(|ddi| logged.own(part, ddi).is_some())
    };
    let part = *parts.get(order)?;
    let carrier = logged.device.up_from(part).find(|part| has(*part))?;
    let under = |part: &&usize| logged.device.up_from(**part).any(|above| above == carrier);
    let order = parts.iter().take(order).filter(under).count();
    let entry = ddi::CONDENSED + u16::try_from(order / ddi::IN_ONE).ok()?;
    let channel = logged.own(carrier, entry)?;
    Some(Switch { channel, shift: u8::try_from(2 * (order % ddi::IN_ONE)).ok()? })
}

/// The counts of mass: of the whole machine if it has one, else of all its sections; what is spread
/// before what is left.
fn totals(place: &str, logged: &Logged) -> Result<Vec<Total>, ReadError> {
    for (ddi, each, falls) in
        [(ddi::TOTAL_GRAMS, 1e-3, false), (ddi::TOTAL, 1.0, false), (ddi::CONTENT, 1e-3, true)]
    {
        if let Some((_, channel)) = logged.of_the_machine(place, ddi)? {
            return Ok(vec![Total { channel, each, falls }]);
        }
        let of_sections = logged.all(ddi).iter().filter(|(part, _)| logged.is_section(*part));
        let found: Vec<Total> =
            of_sections.map(|(_, channel)| Total { channel: *channel, each, falls }).collect();
        if !found.is_empty() {
            return Ok(found);
        }
    }
    Ok(Vec::new())
}

/// The values that count something else: of the whole machine, else of all its sections.
fn counts(logged: &Logged, ddi: u16) -> Vec<u8> {
    let all = logged.all(ddi);
    let whole = all.iter().find(|(part, _)| !logged.is_section(*part));
    whole.map_or_else(
        || all.iter().map(|(_, channel)| *channel).collect(),
        |(_, channel)| vec![*channel],
    )
}

fn latency(logged: &Logged) -> Option<Time> {
    let mut parts = 0..logged.device.parts.len();
    let found = parts.find_map(|part| logged.number(part, ddi::LATENCY));
    found.filter(|ms| *ms > 0).map(|ms| Time::seconds(f64::from(ms) / 1000.0))
}
