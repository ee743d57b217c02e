//! Feeds: one goes, comes, or is elsewhere.

use glowloom_design::Wall;
use toml_edit::{ArrayOfTables, DocumentMut, Item, TableLike, Value};

use super::{End, Impossible, inside, put};

/// Takes a feed away and puts one there. Where the file counts feeds, they are listed first, as the
/// count has them.
pub fn feeds(
    document: &mut DocumentMut,
    wall: &Wall,
    panel: usize,
    from: Option<End>,
    to: Option<End>,
) -> Result<(), Impossible> {
    let gone = || Impossible::new("there is no such panel or feed any more", "load the page again");
    let of = wall.panels.get(panel).ok_or_else(gone)?;
    let own = panels(document)
        .and_then(|all| all.get_mut(panel))
        .filter(|table| table.contains_key("feeds"));
    let section: &mut dyn TableLike = match own {
        Some(own) => own,
        None => match inside(document.as_table_mut(), &["power"], true)? {
            Some(shared) => shared,
            None => return Err(gone()),
        },
    };
    if !section.get("feeds").is_some_and(Item::is_array) {
        let listed: toml_edit::Array = of.feeds.iter().map(|feed| entry(End::from(feed))).collect();
        put(section, "feeds", Value::Array(listed));
    }
    let list = section.get_mut("feeds").and_then(Item::as_array_mut).ok_or_else(gone)?;
    let is = |value: &Value, end: End| {
        let table = value.as_inline_table();
        let strip = table.and_then(|t| t.get("strip")).and_then(Value::as_integer);
        let edge = table.and_then(|t| t.get("edge")).and_then(Value::as_str).unwrap_or("near");
        strip == Some(i64::from(end.strip)) && edge == end.edge.word()
    };
    if let Some(to) = to
        && Some(to) != from
        && list.iter().any(|value| is(value, to))
    {
        return Err(Impossible::new(
            format!("strip {} has a feed at its {} edge already", to.strip, to.edge.word()),
            "take another strip end",
        ));
    }
    match (from, to) {
        (Some(from), Some(to)) => {
            let at = list.iter_mut().find(|value| is(value, from)).ok_or_else(gone)?;
            let table = at.as_inline_table_mut().ok_or_else(gone)?;
            put(table, "strip", i64::from(to.strip).into());
            put(table, "edge", to.edge.word().into());
        }
        (None, Some(to)) => list.push(entry(to)),
        (Some(from), None) => {
            if list.len() == 1 {
                return Err(Impossible::new(
                    "a panel without a feed stays dark",
                    "put another feed first",
                ));
            }
            let at = list.iter().position(|value| is(value, from)).ok_or_else(gone)?;
            list.remove(at);
        }
        (None, None) => {}
    }
    Ok(())
}

fn panels(document: &mut DocumentMut) -> Option<&mut ArrayOfTables> {
    document.get_mut("panels").and_then(Item::as_array_of_tables_mut)
}

fn entry(end: End) -> Value {
    let mut table = toml_edit::InlineTable::new();
    table.insert("strip", i64::from(end.strip).into());
    table.insert("edge", end.edge.word().into());
    Value::InlineTable(table)
}
