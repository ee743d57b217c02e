//! The bill of materials.

use std::io::{self, BufWriter, Write};

use glowloom_design::Wall;
use glowloom_plan::cost::price;
use glowloom_plan::material::parts::Item;

use super::known;
use crate::field::field;

/// Writes everything to buy, in the order of the plan: `item,unit,quantity,price,total,currency,note`.
/// What has no price, or is of no known quantity, has an empty value there and in `total`.
///
/// # Errors
/// Those of the writer.
pub fn bill(wall: &Wall, items: &[Item], out: &mut dyn Write) -> io::Result<()> {
    let mut out = BufWriter::new(out);
    out.write_all(b"item,unit,quantity,price,total,currency,note\n")?;
    for item in items {
        let price = wall.prices.as_ref().and_then(|prices| price(prices, item));
        let total = price.zip(item.quantity).map(|(price, quantity)| price * quantity);
        let money = |amount: Option<f64>| amount.map_or_else(String::new, |a| format!("{a:.2}"));
        let currency = wall.prices.as_ref().filter(|_| price.is_some());
        writeln!(
            out,
            "{},{},{},{},{},{},{}",
            field(&item.item),
            item.unit,
            known(item.quantity),
            money(price),
            money(total),
            field(currency.map_or("", |prices| &prices.currency)),
            field(&item.note),
        )?;
    }
    out.flush()
}
