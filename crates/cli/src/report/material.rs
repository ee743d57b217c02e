//! The table of what to buy, and its cost.

use glowloom_plan::Plan;
use glowloom_plan::cost::Cost;
use glowloom_plan::material::parts::Item;

use super::schedule::{Schedule, wrapped};

/// Every item with what it costs, where that is known.
pub fn material(plan: &Plan) -> String {
    let mut table = Schedule::new("To buy");
    for item in &plan.material.items {
        let number = item.quantity.map_or("?".to_owned(), quantity);
        let unit = units(item);
        table.row(&item.item, &number, &unit, &short(&item.note));
    }
    table.text()
}

/// Prices and totals; `None` without prices.
pub fn cost(plan: &Plan) -> Option<String> {
    let cost = plan.cost.as_ref()?;
    let mut table = Schedule::new("Cost");
    let money = |amount: f64| format!("{amount:.2}");
    for line in &cost.lines {
        let detail = format!("{} x {}", quantity(line.quantity), money(line.price));
        table.row(&line.item, &money(line.total), &cost.currency, &detail);
    }
    table.row("total", &money(cost.total), &cost.currency, &left_out(cost));
    table.row("for each panel", &money(cost.total_per_panel), &cost.currency, "");
    let energy = &cost.energy;
    let use_of = format!(
        "{:.0} kWh a year: {} for {} h a day at {} {}/kWh",
        energy.kwh_per_year,
        energy.watts,
        energy.hours_per_day,
        energy.price_per_kwh,
        cost.currency
    );
    table.row("energy, a year", &money(energy.cost_per_year), &cost.currency, &use_of);
    let mut text = table.text();
    if !cost.unpriced.is_empty() {
        let names = format!("Without a price, and in no total: {}.", cost.unpriced.join("; "));
        for line in wrapped(&names, 92) {
            text.push_str(&format!("  {line}\n"));
        }
    }
    Some(text)
}

fn left_out(cost: &Cost) -> String {
    match cost.unpriced.len() {
        0 => String::new(),
        1 => "1 thing without a price is not in it".into(),
        n => format!("{n} things without a price are not in it"),
    }
}

/// Whole numbers of pieces, tenths of metres.
fn quantity(count: f64) -> String {
    if count.fract() == 0.0 { format!("{count:.0}") } else { format!("{count:.1}") }
}

fn units(item: &Item) -> String {
    if item.quantity == Some(1.0) { item.unit.to_owned() } else { format!("{}s", item.unit) }
}

/// Up to the caution, which stands under the table of power.
fn short(note: &str) -> String {
    let parts = note.split("; ").take_while(|part| !part.starts_with("mains:"));
    parts.collect::<Vec<_>>().join("; ")
}
