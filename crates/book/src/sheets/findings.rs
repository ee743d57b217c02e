//! What the plan has to say, in full.

use super::{Context, Sheet};
use crate::draw::table::{Table, figures, word, words};

/// The findings; none where there are none.
pub fn draw(context: &Context<'_>) -> Vec<Sheet> {
    let mut table = Table::new(vec![
        word("kind"),
        words("what", 0.8),
        words("how much", 1.4),
        words("what to do", 1.4),
        figures("line"),
    ]);
    for finding in &context.plan.findings {
        table.row([
            super::glance::mark(finding.kind).to_owned(),
            finding.title.clone(),
            finding.detail.clone(),
            finding.remedy.clone(),
            finding.line.to_string(),
        ]);
    }
    let head = super::Head {
        key: "findings".into(),
        name: "What the plan has to say".into(),
        group: None,
        panels: Vec::new(),
        upright: false,
        note: vec![
            "HAZARD: it can hurt or burn. FAULT: it will not work. Advice: it could be better"
                .into(),
            "Line: where in the wall file it is set".into(),
            "Build nothing while a hazard or a fault stands".into(),
        ],
        description: "Hazards, faults and advice of the plan, each with what to do.".into(),
    };
    super::listed(context, &head, &[("", table)])
}
