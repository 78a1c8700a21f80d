/// The first of many, and how many more there are: a page has an end.
#[derive(Clone, Debug)]
pub struct CutList<T> {
    pub shown: Vec<T>,
    pub more: usize,
}

impl<T> CutList<T> {
    /// At most so many.
    pub fn of(all: impl IntoIterator<Item = T>, most: usize) -> Self {
        let mut all = all.into_iter();
        let shown = all.by_ref().take(most).collect();
        Self { shown, more: all.count() }
    }
}
