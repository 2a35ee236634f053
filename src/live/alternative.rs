//! An alternative of the job taken up: what it changes, written where the job says it.

use toml_edit::{DocumentMut, Item, TableLike, Value};

use super::address::Address;

/// What alternative `index` writes; `None` where it changes something that is no value of the page.
pub(super) fn values(document: &DocumentMut, index: usize) -> Option<Vec<(Address, String)>> {
    let table: &dyn TableLike = match document.get("alternative")? {
        Item::ArrayOfTables(list) => list.get(index)?,
        Item::Value(Value::Array(list)) => list.get(index)?.as_inline_table()?,
        _ => return None,
    };
    let mut values = Vec::new();
    for (key, item) in table.iter() {
        let to = match item.as_value()? {
            Value::String(text) => text.value().clone(),
            other => other.clone().decorated("", "").to_string(),
        };
        let at: Vec<String> = match key {
            "name" => continue,
            "slat_width" => vec!["slats.width".to_owned()],
            "reject_rate" => vec!["spares.reject_rate".to_owned()],
            key if Address::read(&format!("slats.{key}")).is_some() => vec![format!("slats.{key}")],
            key => {
                Address::read(&format!("cabinet.0.{key}"))?;
                let all = (0..super::fields::cabinets(document)).map(|n| format!("cabinet.{n}.{key}"));
                let given =
                    |at: &String| Address::read(at).is_some_and(|at| super::edit::written(document, &at).is_some());
                all.filter(given).collect()
            }
        };
        values.extend(at.iter().filter_map(|at| Some((Address::read(at)?, to.clone()))));
    }
    Some(values)
}
