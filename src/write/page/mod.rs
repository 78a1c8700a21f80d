//! What the pages for people have in common: the frame (`page.html`), how it looks (`page.css`), and
//! the numbers at its head.
//!
//! A page stands by itself: no other file, no network, no script. Text from input files is escaped by
//! the template and kept from turning the line around it (`bdi`).

/// A number to be seen at a glance.
#[derive(Debug)]
pub struct Fact {
    pub name: &'static str,
    pub number: String,
    pub unit: &'static str,
}
