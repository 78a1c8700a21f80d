//! A job file's text as a document that keeps its comments, order, line ends and byte order mark.

use toml_edit::{DocumentMut, InlineTable, Item, Table, TableLike, Value};

/// The text as a document, and what makes the same text of it again.
pub(super) struct TomlText {
    pub document: DocumentMut,
    mark: bool,
    returns: bool,
}

impl TomlText {
    /// Reads a text that is known to be TOML.
    pub fn read(text: &str) -> Result<Self, toml_edit::TomlError> {
        let bare = text.strip_prefix('\u{feff}');
        let (mark, bare) = (bare.is_some(), bare.unwrap_or(text));
        let returns = bare.contains("\r\n");
        let document = if returns { bare.replace("\r\n", "\n").parse()? } else { bare.parse()? };
        Ok(Self { document, mark, returns })
    }

    /// The text again.
    pub fn text(&self) -> String {
        let text = self.document.to_string();
        let text = if self.returns { text.replace('\n', "\r\n") } else { text };
        if self.mark { format!("\u{feff}{text}") } else { text }
    }
}

/// Sets a key, or takes it out; what stands beside an old value stays there.
pub(super) fn set(table: &mut dyn TableLike, key: &str, value: Option<Value>) {
    let Some(mut value) = value else {
        table.remove(key);
        return;
    };
    match table.get_mut(key) {
        Some(Item::Value(old)) => {
            *value.decor_mut() = old.decor().clone();
            *old = value;
        }
        _ => _ = table.insert(key, Item::Value(value)),
    }
}

/// The table of a name, made if there is none; none where the name is something else.
pub(super) fn table<'a>(
    document: &'a mut DocumentMut,
    name: &str,
) -> Option<&'a mut dyn TableLike> {
    document.entry(name).or_insert(Item::Table(Table::new())).as_table_like_mut()
}

/// Takes a table out that nothing stands in any more.
pub(super) fn drop_empty(document: &mut DocumentMut, name: &str) {
    let table = document.get(name).and_then(Item::as_table_like);
    if table.is_some_and(TableLike::is_empty) {
        document.remove(name);
    }
}

/// The tables of a list, whether it is written as `[[name]]` or as `name = [{ … }]`; made if there is
/// none. None where the name is something else.
pub(super) fn push(document: &mut DocumentMut, name: &str, keys: Vec<(&str, Value)>) -> Option<()> {
    if let Some(list) = document.get_mut(name).and_then(Item::as_array_mut) {
        let table: InlineTable = keys.into_iter().collect();
        list.push(Value::InlineTable(table));
        return Some(());
    }
    let mut table = Table::new();
    // Apart from what stands before it.
    table.decor_mut().set_prefix("\n");
    for (key, value) in keys {
        table.insert(key, Item::Value(value));
    }
    let list = document.entry(name).or_insert(Item::ArrayOfTables(toml_edit::ArrayOfTables::new()));
    list.as_array_of_tables_mut()?.push(table);
    Some(())
}

/// Takes the table of a number, from 0, out of a list; none where there is no such.
pub(super) fn remove(document: &mut DocumentMut, name: &str, number: usize) -> Option<()> {
    let list = document.get_mut(name)?;
    let left = if let Some(list) = list.as_array_mut() {
        (number < list.len()).then(|| list.remove(number))?;
        list.len()
    } else {
        let list = list.as_array_of_tables_mut()?;
        (number < list.len()).then(|| list.remove(number))?;
        list.len()
    };
    if left == 0 {
        document.remove(name);
    }
    Some(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn comments_order_and_line_ends_stay() {
        let text = "\u{feff}# head\r\nb = 1 # one\r\na = \"x\"\r\n\r\n# of c\r\n[c]\r\nd = 2\r\n";
        let mut read = TomlText::read(text).unwrap();
        assert_eq!(read.text(), text);
        set(read.document.as_table_mut(), "b", Some(7.into()));
        assert_eq!(read.text(), text.replace("b = 1", "b = 7"));
        set(table(&mut read.document, "c").unwrap(), "d", None);
        drop_empty(&mut read.document, "c");
        assert_eq!(read.text(), "\u{feff}# head\r\nb = 7 # one\r\na = \"x\"\r\n");
    }

    #[test]
    fn lists_grow_and_shrink_as_they_are_written() {
        for (text, more) in [
            ("a = [{ b = 1 }]\n", "a = [{ b = 1 }, { b = 2 }]\n"),
            ("c = 1\n\n[[a]]\nb = 1 # one\n", "c = 1\n\n[[a]]\nb = 1 # one\n\n[[a]]\nb = 2\n"),
        ] {
            let mut read = TomlText::read(text).unwrap();
            push(&mut read.document, "a", vec![("b", 2.into())]).unwrap();
            assert_eq!(read.text(), more);
            remove(&mut read.document, "a", 1).unwrap();
            assert_eq!(read.text(), text);
            assert!(remove(&mut read.document, "a", 1).is_none());
        }
    }
}
