//! Everything to buy, each thing once, with what has no price.

use glowloom_plan::cost::price;

use super::{Context, Head, Sheet};
use crate::draw::table::{Table, figures, ticks, word, words};

/// The shopping list.
pub fn draw(context: &Context<'_>) -> Vec<Sheet> {
    let prices = context.wall.prices.as_ref();
    let mut columns = vec![
        ticks("have"),
        figures("how many"),
        word("unit"),
        words("what", 1.0),
        words("to know", 1.6),
    ];
    if prices.is_some() {
        columns.extend([figures("each"), figures("together")]);
    }
    let mut table = Table::new(columns);
    for item in &context.plan.material.items {
        let quantity = item.quantity.map_or_else(|| "?".into(), |n| format!("{}", round(n)));
        let mut row = vec![
            String::new(),
            quantity,
            item.unit.to_owned(),
            item.item.clone(),
            item.note.clone(),
        ];
        if let Some(prices) = prices {
            let each = price(prices, item);
            let money = |n: Option<f64>| n.map_or_else(|| "no price".into(), |n| format!("{n:.2}"));
            let all = each.zip(item.quantity).map(|(each, quantity)| each * quantity);
            row.extend([money(each), if each.is_none() { "-".into() } else { money(all) }]);
        }
        table.row(row);
    }
    let mut note = Vec::new();
    if let Some(cost) = &context.plan.cost {
        note.push(format!(
            "{:.2} {} for what has a price; {:.2} for each panel",
            cost.total, cost.currency, cost.total_per_panel
        ));
        if !cost.unpriced.is_empty() {
            note.push(format!("Unpriced, in no total: {}", cost.unpriced.join("; ")));
        }
    } else {
        note.push("The wall file gives no prices".into());
    }
    let head = Head {
        key: "shopping".into(),
        name: "Parts and shopping".into(),
        group: None,
        panels: Vec::new(),
        upright: false,
        note,
        description: "Everything to buy, how many of each, with what to know about it.".into(),
    };
    super::listed(context, &head, &[("", table)])
}

/// Hundredths are enough.
fn round(n: f64) -> f64 {
    (n * 100.0).round() / 100.0
}
