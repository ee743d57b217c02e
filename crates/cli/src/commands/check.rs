//! `glowloom check`

use std::process::ExitCode;

use glowloom_plan::Kind;

use crate::arguments::WallFile;
use crate::failure::Failure;
use crate::{opened, output, report};

pub fn run(arguments: &WallFile) -> Result<ExitCode, Failure> {
    let opened = opened::open(&arguments.wall)?;
    let plan = glowloom_plan::plan(&opened.wall);
    output::write(&report::check(&opened, &plan))?;
    let sound = plan.findings.iter().all(|finding| finding.kind == Kind::Advice);
    Ok(ExitCode::from(u8::from(!sound)))
}
