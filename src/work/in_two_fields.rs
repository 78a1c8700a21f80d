/// Samples that lie in more fields than one, with the fields.
#[derive(Clone, Debug, PartialEq)]
pub struct InTwoFields(pub(super) Vec<(String, Vec<String>)>);

impl std::error::Error for InTwoFields {}

impl std::fmt::Display for InTwoFields {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        const SHOWN: usize = 5;
        let one = |(place, fields): &(String, Vec<String>)| {
            format!("{place} in {}", fields.join(" and "))
        };
        let shown: Vec<String> = self.0.iter().take(SHOWN).map(one).collect();
        write!(f, "{}", shown.join("; "))?;
        if let more @ 1.. = self.0.len().saturating_sub(SHOWN) {
            write!(f, "; and {more} more")?;
        }
        f.write_str(": found samples in two fields, expected each in one; mend the boundaries where they overlap, or say the field in a column of the samples (field_column = \"…\")")
    }
}
