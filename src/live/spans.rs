//! Where in a text the value of an address stands.

use std::ops::Range;

use toml_edit::{Document, Item, TableLike, Value};

use super::address::{Address, Step};

/// The bytes of a value, its quotes included; of its table's heading where the value is left out.
pub(super) fn span_of(document: &Document<String>, at: &Address) -> Option<Range<usize>> {
    let (table, key) = at.parted();
    let mut here: &dyn TableLike = document.as_table();
    let mut steps = table.iter().peekable();
    while let Some(step) = steps.next() {
        let Step::Key(name) = step else { return None };
        let item = here.get(name)?;
        here = match (steps.peek(), item) {
            (Some(Step::At(at)), Item::ArrayOfTables(list)) => {
                steps.next();
                list.get(*at)?
            }
            (Some(Step::At(at)), Item::Value(Value::Array(list))) => {
                steps.next();
                list.get(*at)?.as_inline_table()?
            }
            (_, item) => item.as_table_like()?,
        };
    }
    here.get(key)?.span()
}
