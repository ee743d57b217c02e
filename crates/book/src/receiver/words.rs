//! The project's README: what it is, how it gets onto the boards, and where to take care.

use glowloom_design::wall::Link;

use super::{Project, is_esp8266, is_wired, most_pixels};

pub(super) fn readme(project: Project<'_>) -> String {
    let wall = project.wall;
    let esp8266 = is_esp8266(wall);
    let (kit, chip, flash) = if esp8266 {
        ("ESP8266_RTOS_SDK 3.4", "ESP8266", "idf.py -p PORT flash")
    } else {
        ("ESP-IDF 5.1 or later", "ESP32", "idf.py -p PORT flash")
    };
    let target = if esp8266 { "" } else { "idf.py set-target esp32\n" };
    let mdns = if esp8266 { "" } else { "idf.py add-dependency \"espressif/mdns\"\n" };
    let boards = if wall.receiver.link == Link::Usb { 1 } else { wall.panels.len() };
    let key = if project.key.is_some() {
        "`main/key.hpp` holds the key of this wall. Boards follow what it signs and nothing else: do not hand this folder on \
         with it, and do not put it where others can read it. It is kept in your own folder for user data, too."
    } else {
        "This copy has no key and does not build: it is in a book, which is handed on. `glowloom receiver WALL -o DIR` \
         writes one that builds, with the wall's key."
    };
    let network = if is_wired(wall) {
        "The boards are wired: plug them in. An address comes from your router."
    } else {
        "Network: at the serial port (the baud of the wall file, 8N1) type `join`, Enter, the network's name, its password. \
         The password is not shown, not logged, and goes into the chip's own store. Or wait: a board that knows no network \
         prints the name and password of its own, which it opens for 15 minutes. (A board on a USB link needs none.)"
    };
    let pins = if esp8266 {
        "The data line is GPIO2 (D4), behind the level shifter. That pin must be high while the chip starts: a shifter's input \
         does not pull it down."
    } else {
        "Data lines are the pins of `main/settings.hpp`, in order, each behind a level shifter."
    };
    format!(
        "# Receivers of {name}\n\n\
         The same program for {boards} of the wall's boards ({board}), with room for {most} pixels each. A board is told over \
         the network which panel it is.\n\n\
         {key}\n\n\
         ## Before you plug anything\n\n\
         - **Part the 5 V.** A board on a computer's USB must not be fed by the panel's supply as well: take the board's 5 V \
         wire off the panel, or use a cable without its 5 V wire. Two supplies on one 5 V push current into each other, and \
         into the computer.\n\
         - Work on the panel with its mains plug out. A {volts:.0} V supply is safe to touch and strong enough to weld a tool \
         and start a fire.\n\
         - {pins}\n\
         - Boards light a few pixels faintly as soon as they have power; nothing flashes.\n\n\
         ## Build and flash\n\n\
         With {kit}, the chip maker's own kit ({chip}), installed and its `export.sh` run in this shell:\n\n\
         ```sh\n{target}{mdns}idf.py build\n{flash}   # each board in turn; it is the same program\n```\n\n\
         Then, on the panel and without USB:\n\n\
         1. Give the panel power, with one fuse fitted. The board shows its code: four groups of lit pixels, such as 3 1 5 2. It \
         prints the same on its serial port when `who` is typed.\n\
         2. {network}\n\
         3. `glowloom commission WALL` finds the boards, makes one glow at a time, asks which panel it is, and tells it. The \
         board keeps that in flash, in two copies.\n\n\
         ## What it does by itself\n\n\
         - Never more than the wall's ceiling on any channel, nor more current than the panel's supplies may give, nor more \
         than three flashes in any one second, whatever arrives.\n\
         - When frames stop it does what `on_loss` of the wall file says.\n\
         - A new program is taken over the network only with an order that the wall's key signed, which names the program's \
         SHA-256; the old program stays beside it.\n\
         - It tells how it is, and why it last started: see `glowloom status`.\n\n\
         ## What has been tried\n\n\
         `core/` is tested on a computer, with its signals against the strips' data sheets, and runs in the virtual panels. \
         `boards/` was compiled against headers written from memory of the kit's; it was never built by the kit itself and \
         never run on a board. Expect to mend a call or two at the first build.\n",
        name = wall.name,
        board = wall.receiver.board,
        most = most_pixels(project),
        volts = wall.strip.volts.0,
    )
}
