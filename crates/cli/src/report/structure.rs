//! The table of masses and fixings.

use glowloom_plan::Plan;
use glowloom_units::Kilograms;

use super::schedule::{Schedule, listed};
use crate::opened::Opened;

/// `None` where the file does not say how the wall hangs.
pub fn structure(opened: &Opened, plan: &Plan) -> Option<String> {
    let figures = opened.wall.figures;
    let structure = plan.structure.as_ref()?;
    let mass = |kg: Kilograms| kg.shown(figures);
    let mut table = Schedule::new("Structure");
    let worst = if structure.panels.len() == 1 {
        structure.panel.clone()
    } else {
        format!("{}, the heaviest", structure.panel)
    };
    table.quantity("panel", &mass(structure.panel_kg), &worst);
    for part in &structure.parts {
        let words = part.part.words();
        match part.kg {
            Some(kg) => table.quantity("", &mass(kg), &format!("{words}: {}", part.source)),
            None => table.row("", "?", "", &format!("{words}: {}", part.source)),
        }
    }
    let fixings = format!("along the wall, on each of {} fixings", structure.fixings);
    table.quantity("load", &mass(structure.load_per_fixing_kg), &fixings);
    table.quantity("", &mass(structure.rated_kg), "rated");
    let limit = "wanted: 2 (common practice, no source)";
    let limit = if structure.not_weighed.is_empty() {
        limit.to_owned()
    } else {
        let parts = listed(structure.not_weighed.iter().map(|part| part.words()));
        format!("without {parts}; {limit}")
    };
    table.row("safety factor", &format!("{:.2}", structure.safety_factor), "", &limit);
    let pull = "pull off the wall on each of the upper half of them";
    table.quantity("", &mass(structure.peel_per_fixing_kg), pull);
    match structure.peel_safety_factor {
        Some(factor) => table.row("", &format!("{factor:.2}"), "", "safety factor of that"),
        None if structure.peel_per_fixing_kg.0 > 0.0 => {
            table.row("", "?", "", "safety factor of that: rated_in_peel is not given");
        }
        None => {}
    }
    let centre = &structure.centre_of_gravity;
    let place = format!(
        "from the left edge, {} from the top, {} from the wall; supplies on the {}",
        centre.down_m.shown(figures),
        centre.out_m.shown(figures),
        structure.supply_on.word()
    );
    table.quantity("centre of gravity", &centre.right_m.shown(figures), &place);
    if let Some(bending) = &structure.bending {
        let span = format!("carried flat by its edges, {} apart", bending.span_m.shown(figures));
        table.quantity("sag", &bending.sag_m.shown(figures), &span);
    }
    Some(table.text())
}
