use super::{Log, ValueChange};

/// The values of a log at one of its records: a value holds until the next of its kind.
#[derive(Clone, Debug)]
pub struct State<'a> {
    log: &'a Log,
    /// The change that comes next.
    next: usize,
    values: Vec<Option<i32>>,
}

impl<'a> State<'a> {
    /// Before the first record.
    #[must_use]
    pub fn before(log: &'a Log) -> Self {
        let mut state = Self { log, next: 0, values: vec![None; 256] };
        for change in &log.fixed {
            state.set(*change);
        }
        state
    }

    /// A value, once it was logged.
    #[must_use]
    pub fn get(&self, channel: u8) -> Option<i32> {
        self.values.get(usize::from(channel)).copied().flatten()
    }

    /// Goes on to a record, itself with it; `seen` is told each value with what it was before.
    pub fn go_to(&mut self, record: usize, mut seen: impl FnMut(ValueChange, Option<i32>)) {
        let end = self.log.stamps.get(record).map_or(self.next, |stamp| stamp.end);
        for change in self.log.changes.get(self.next..end).unwrap_or(&[]) {
            let before = self.set(*change);
            seen(*change, before);
        }
        self.next = end.max(self.next);
    }

    fn set(&mut self, change: ValueChange) -> Option<i32> {
        let slot = self.values.get_mut(usize::from(change.channel))?;
        slot.replace(change.value)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::timelog::Stamp;

    #[test]
    fn values_hold_until_the_next() {
        let change = |channel, value| ValueChange { channel, value };
        let stamp = |end| Stamp { time: 0, at: None, end };
        let log = Log {
            stamps: vec![stamp(1), stamp(1), stamp(3)],
            fixed: vec![change(7, 70)],
            changes: vec![change(0, 1), change(0, 2), change(255, 3)],
            ..Log::default()
        };
        let mut state = State::before(&log);
        let values = |state: &State| [0, 7, 255].map(|channel| state.get(channel));
        assert_eq!(values(&state), [None, Some(70), None]);
        let mut seen = Vec::new();
        state.go_to(0, |change, before| seen.push((change.value, before)));
        state.go_to(1, |change, before| seen.push((change.value, before)));
        assert_eq!(values(&state), [Some(1), Some(70), None]);
        state.go_to(2, |change, before| seen.push((change.value, before)));
        assert_eq!(values(&state), [Some(2), Some(70), Some(3)]);
        assert_eq!(seen, [(1, None), (2, Some(1)), (3, None)]);
    }
}
