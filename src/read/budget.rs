use super::ReadError;

/// A file may take this many times its size in memory, and as much again as [`FREE`].
const TIMES: usize = 20;
/// Memory that any file may take, in bytes.
const FREE: usize = 100 << 20;
/// What is counted here is copied a few times on the way to a field: of four bytes one is counted.
const COPIES: usize = 4;

/// How much a file may unpack to before it is taken for one that means harm: a few bytes of an
/// archive or a table can stand for gigabytes.
#[derive(Debug)]
pub(super) struct Budget {
    left: usize,
}

impl Budget {
    /// The budget of a file of so many bytes.
    pub fn of(bytes: usize) -> Self {
        Self { left: bytes.saturating_mul(TIMES).saturating_add(FREE) / COPIES }
    }

    /// How many bytes are left.
    pub fn left(&self) -> usize {
        self.left
    }

    /// Takes so many bytes for what is in the file of that name.
    ///
    /// # Errors
    /// When they are not there.
    pub fn take(&mut self, name: &str, bytes: usize) -> Result<(), ReadError> {
        self.left = self
            .left
            .checked_sub(bytes)
            .ok_or_else(|| ReadError::TooLarge { name: name.to_owned() })?;
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_left() {
        let mut budget = Budget::of(4);
        assert_eq!(budget.left(), (80 + (100 << 20)) / 4);
        budget.take("a.kmz", 20 + (25 << 20)).unwrap();
        assert_eq!(
            budget.take("a.kmz", 1).unwrap_err().to_string(),
            "a.kmz: it unpacks to far more than a file of its size should hold; unpack it first, or save it again without what is not needed"
        );
    }
}
