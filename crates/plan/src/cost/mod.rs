//! What a wall costs to buy and to run: prices put to the one list of what to buy.

pub mod energy;

use glowloom_design::Wall;
use glowloom_design::wall::Prices;
use glowloom_units::{FromText, Gauge, Watts};
use serde::Serialize;

use crate::material::parts::Item;
use energy::{Energy, energy};

/// What a wall costs, in one currency.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Cost {
    /// As the wall file has it.
    pub currency: String,
    /// Everything that has a price and a quantity.
    pub lines: Vec<Line>,
    /// Of these lines.
    pub total: f64,
    /// That over the panels.
    pub total_per_panel: f64,
    /// What has no price, or is of no known quantity: in no total.
    pub unpriced: Vec<String>,
    /// Of a year.
    pub energy: Energy,
}

/// One line of the bill.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Line {
    /// What it is.
    pub item: String,
    /// What is counted.
    pub unit: &'static str,
    /// How many.
    pub quantity: f64,
    /// Of one.
    pub price: f64,
    /// Of all.
    pub total: f64,
}

/// The price of one of an item; `None` where the wall file gives none. Wire is found by its size,
/// however it is written.
#[must_use]
pub fn price(prices: &Prices, item: &Item) -> Option<f64> {
    let plain = prices.items.get(&item.key).copied();
    plain.or_else(|| {
        let size = Gauge::from_text(&item.key).ok()?;
        let same = |key: &str| Gauge::from_text(key) == Ok(size);
        prices.items.iter().find(|(key, _)| same(key)).map(|(_, price)| *price)
    })
}

/// The cost of a list of things; `None` where the wall file has no prices. `typical` is what the
/// solved wall takes from the mains at the typical level; `None` where it has no answer.
#[must_use]
pub fn cost(wall: &Wall, items: &[Item], typical: Option<Watts>) -> Option<Cost> {
    let prices = wall.prices.as_ref()?;
    let (mut lines, mut unpriced) = (Vec::new(), Vec::new());
    for item in items {
        match (price(prices, item), item.quantity) {
            (Some(price), Some(quantity)) => lines.push(Line {
                item: item.item.clone(),
                unit: item.unit,
                quantity,
                price,
                total: price * quantity,
            }),
            (Some(_), None) => unpriced.push(format!("{} (quantity not known)", item.item)),
            (None, _) => unpriced.push(item.item.clone()),
        }
    }
    // From 0: the sum of nothing is -0 otherwise.
    let total = lines.iter().fold(0.0, |sum, line| sum + line.total);
    #[expect(clippy::cast_precision_loss, reason = "1,000 at most")]
    let panels = wall.panels.len() as f64;
    Some(Cost {
        currency: prices.currency.clone(),
        lines,
        total,
        total_per_panel: total / panels,
        unpriced,
        energy: energy(wall, prices, typical),
    })
}
