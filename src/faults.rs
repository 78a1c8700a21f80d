//! Faults gathered, so that all of a file are told at once.

use std::fmt::Display;

/// A fault that may stand for several.
pub trait Fault: Sized {
    /// One for all of them, of which there are two or more.
    fn several(all: Vec<Self>) -> Self;

    /// Those that it stands for, or itself.
    fn each(self) -> Vec<Self>;
}

/// Makes a fault of an error that has a variant for several.
macro_rules! fault {
    ($error:ident::$several:ident) => {
        impl $crate::faults::Fault for $error {
            fn several(all: Vec<Self>) -> Self {
                Self::$several(all)
            }

            fn each(self) -> Vec<Self> {
                if let Self::$several(all) = self { all } else { vec![self] }
            }
        }
    };
}
pub(crate) use fault;

/// The faults that came up so far.
#[derive(Debug)]
pub struct Faults<E>(Vec<E>);

impl<E> Default for Faults<E> {
    fn default() -> Self {
        Self(Vec::new())
    }
}

impl<E: Fault> Faults<E> {
    /// The value of a result; its fault is kept.
    pub fn of<T>(&mut self, result: Result<T, E>) -> Option<T> {
        result.map_err(|fault| self.push(fault)).ok()
    }

    /// Keeps the fault of a result, if it is one.
    pub fn see<T>(&mut self, result: &Result<T, E>)
    where
        E: Clone,
    {
        if let Err(fault) = result {
            self.push(fault.clone());
        }
    }

    /// Keeps a fault.
    pub fn push(&mut self, fault: E) {
        self.0.extend(fault.each());
    }

    /// Whether there are any.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// The one fault, or one that stands for all; none where there was none.
    pub fn all(self) -> Result<(), E> {
        let mut all = self.0;
        match all.len() {
            0 => Ok(()),
            1 => all.pop().map_or(Ok(()), Err),
            _ => Err(E::several(all)),
        }
    }
}

/// The most that are written out: what is wrong so often has one cause.
const MOST: usize = 20;

/// Several faults, each on a line of its own.
pub fn lines<E: Display>(all: &[E]) -> String {
    let mut lines = vec![format!("found {} faults:", all.len())];
    lines.extend(all.iter().take(MOST).map(|fault| format!("  {fault}")));
    if let more @ 1.. = all.len().saturating_sub(MOST) {
        lines.push(format!("  and {more} more"));
    }
    lines.join("\n")
}

/// The known word that a written one is nearest to, if no more than a third of its letters are
/// wrong.
#[must_use]
pub fn nearest<'a>(written: &str, known: &[&'a str]) -> Option<&'a str> {
    let distances = known.iter().map(|word| (strsim::osa_distance(written, word), *word));
    let (distance, word) = distances.min()?;
    (distance * 3 <= written.chars().count()).then_some(word)
}
