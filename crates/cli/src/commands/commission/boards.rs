//! Boards found on the network, and told which panel they are.

use std::net::{Ipv4Addr, SocketAddr, ToSocketAddrs};

use glowloom_drive::boards::{Boards, Found};
use glowloom_plan::Plan;
use glowloom_plan::assignment::assignment;
use glowloom_wire::orders::{self, Order};
use glowloom_wire::patch::Address;
use uuid::Uuid;

use super::talk::Talk;
use crate::failure::Failure;
use crate::opened::Opened;
use crate::{key, stage};

/// How long a board glows while a person looks for it.
const GLOW_SECONDS: u8 = 60;

/// Finds boards and asks which panel each is.
pub fn assign(opened: &Opened, plan: &Plan, talk: &mut Talk) -> Result<(), Failure> {
    let Some((boards, found)) = find(opened, talk)? else { return Ok(()) };
    for one in &found {
        let code = one.answer.code.map(|figure| figure.to_string()).join(" ");
        let is = match one.answer.name.as_str() {
            "" => "not told yet which panel it is".to_owned(),
            name => format!("told to be {name}"),
        };
        let reset =
            if one.answer.reset == 4 { "; it last fell for lack of volts (brown-out)" } else { "" };
        talk.say(&format!("Board {code} at {}: {is}{reset}.\n", one.at.ip()))?;
        let known = number_of(opened, &one.answer.name);
        let panel = match known {
            Some(panel) => panel,
            None => match ask_which(opened, &boards, one, talk)? {
                Some(panel) => panel,
                None => continue,
            },
        };
        tell(opened, plan, &boards, one, panel, talk)?;
    }
    Ok(())
}

/// Tells the boards that know their panel what the file says now.
pub fn tell_again(opened: &Opened, plan: &Plan, talk: &mut Talk) -> Result<(), Failure> {
    let Some((boards, found)) = find(opened, talk)? else { return Ok(()) };
    for one in &found {
        if let Some(panel) = number_of(opened, &one.answer.name) {
            tell(opened, plan, &boards, one, panel, talk)?;
        }
    }
    Ok(())
}

fn number_of(opened: &Opened, name: &str) -> Option<usize> {
    opened.wall.panels.iter().position(|panel| panel.name == name)
}

/// Asks who is there: at the panels' own addresses, and everybody where some panel is not on this computer.
fn find(opened: &Opened, talk: &Talk) -> Result<Option<(Boards, Vec<Found>)>, Failure> {
    let patch = stage::patch_of(&opened.wall, 1.0)?;
    let hosts = patch.panels().iter().filter_map(|panel| match &panel.address {
        Address::Udp { host, .. } => Some(host.as_str()),
        Address::Virtual { .. } | Address::Serial { .. } => None,
    });
    let mut places: Vec<SocketAddr> = hosts
        .filter_map(|host| (host, orders::PORT).to_socket_addrs().ok()?.find(SocketAddr::is_ipv4))
        .collect();
    if places.is_empty() {
        talk.say("No panel of the file has an address: its panels are virtual, and no board is told anything.\n")?;
        return Ok(None);
    }
    if places.iter().any(|place| !place.ip().is_loopback()) {
        places.push((Ipv4Addr::BROADCAST, orders::PORT).into());
    }
    let Some(key) = key::known(&opened.wall.name)? else {
        talk.say("This wall has no key yet, so its boards would not listen. Next: glowloom receiver WALL -o DIR\n")?;
        return Ok(None);
    };
    let wrong = |error: std::io::Error| {
        Failure::other(format!("boards could not be asked: {error}"), "see that there is a network")
    };
    let boards = Boards::open(key, || Uuid::new_v4().into_bytes()).map_err(wrong)?;
    let found = boards.ask(&places).map_err(wrong)?;
    if found.is_empty() {
        talk.say("No board answers. See that they have power and their network, and this wall's program.\n")?;
    }
    Ok(Some((boards, found)))
}

/// Makes a board glow and asks which panel it is.
fn ask_which(
    opened: &Opened,
    boards: &Boards,
    one: &Found,
    talk: &mut Talk,
) -> Result<Option<usize>, Failure> {
    let told = boards.tell(one.at, &one.answer.id, &one.answer.number, &Order::Glow(GLOW_SECONDS));
    match told {
        Ok(()) => talk.say("It glows now, for a minute.\n")?,
        Err(error) => talk.say(&format!("It could not be made to glow: {error}.\n"))?,
    }
    let names =
        opened.wall.panels.iter().map(|panel| panel.name.as_str()).collect::<Vec<_>>().join(", ");
    loop {
        let question = format!("Which panel is it? ({names}; Enter to pass it by)");
        match talk.line(&question)?.as_deref() {
            None | Some("") => return Ok(None),
            Some(name) => match number_of(opened, name) {
                Some(panel) => return Ok(Some(panel)),
                None => talk.say("There is no such panel.\n")?,
            },
        }
    }
}

/// The number of the answer may have been used by the glow: the board is asked anew.
fn tell(
    opened: &Opened,
    plan: &Plan,
    boards: &Boards,
    one: &Found,
    panel: usize,
    talk: &Talk,
) -> Result<(), Failure> {
    // A board on its own does not know what the copper carries: the lower of both ceilings.
    let patch = stage::patch_of(&opened.wall, plan.power.highest_safe_brightness)?;
    let name = &opened.wall.panels[panel].name;
    let told = assignment(&opened.wall, &patch, panel).map_err(|error| {
        Failure::other(
            format!("panel \"{name}\" is more than a board can drive: {error}"),
            "give it fewer data_lines",
        )
    })?;
    let again = boards.ask(&[one.at]).ok().and_then(|found| found.into_iter().next());
    let number = again.map_or(one.answer.number, |found| found.answer.number);
    let order = Order::Assign(Box::new(told));
    match boards.tell(one.at, &one.answer.id, &number, &order) {
        Ok(()) => talk.say(&format!("It is told to be {name}, and keeps that.\n")),
        Err(error) => talk.say(&format!("It was not told: {error}.\n")),
    }
}
