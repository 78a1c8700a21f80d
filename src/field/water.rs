//! Whether words say water.

/// What is taken for water that a pile must keep from, in the singular. `docs/pile.md` has the same list.
const WATER: [&str; 25] = [
    "bayou",
    "borehole",
    "brook",
    "canal",
    "creek",
    "ditch",
    "drain",
    "drainage",
    "inlet",
    "intake",
    "lagoon",
    "lake",
    "marsh",
    "pond",
    "reservoir",
    "river",
    "sinkhole",
    "slough",
    "spring",
    "stream",
    "swamp",
    "water",
    "waterway",
    "well",
    "wetland",
];

/// Whether one of the words of a text names water or a well, by a list: upper and lower case are the
/// same, and so are one and several ("ditches").
pub fn names_water(text: &str) -> bool {
    let text = text.to_lowercase();
    let mut words = text.split(|letter: char| !letter.is_alphanumeric());
    words.any(|word| {
        let singular = |end: &str| word.strip_suffix(end).is_some_and(|word| WATER.contains(&word));
        WATER.contains(&word) || singular("s") || singular("es")
    })
}

#[cfg(test)]
mod tests {
    use super::{WATER, names_water};

    #[test]
    fn by_whole_words() {
        for text in ["Well", "the neighbor's wells", "drainage ditches", "stock-pond", "TILE INLET"]
        {
            assert!(names_water(text), "{text}");
        }
        for text in ["", "farmyard", "dwelling", "pipeline", "wellington boots", "power line"] {
            assert!(!names_water(text), "{text}");
        }
    }

    #[test]
    fn the_page_on_piles_has_the_same_list() {
        let page =
            include_str!("../../docs/pile.md").split_whitespace().collect::<Vec<_>>().join(" ");
        let (_, list) = page.split_once("one of the words ").unwrap();
        let (list, _) = list.split_once(" (or several of them)").unwrap();
        assert_eq!(list.replace(" or ", ", ").split(", ").collect::<Vec<_>>(), WATER);
    }
}
