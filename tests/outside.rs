//! Checks against programs outside the project: each names its source in the script that it runs.
//! How these are found, and what happens where they are missing: `checkers`.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

use std::path::PathBuf;

use glowloom_tests::checkers::{built, can, program, run};

/// A wall whose receivers are at loopback addresses on the protocol's own port.
fn wall(folder: &tempfile::TempDir, frames_per_second: u32) -> PathBuf {
    let receiver = format!("link = \"ethernet\"\nframes_per_second = {frames_per_second}\n");
    wall_with(folder, &receiver)
}

/// The same with other lines for its receivers.
fn wall_with(folder: &tempfile::TempDir, receiver: &str) -> PathBuf {
    let path = folder.path().join("wall.toml");
    let text = format!(
        "format = 1\n[wall]\nname = \"Breakwater\"\ncolumns = 41\nrows = 23\n[strip]\npart = \"ws2812b-30\"\n\
         [panel]\nrows = 23\n\
         [[panels]]\nname = \"a\"\nat = [0, 0]\ncolumns = 20\ndata_lines = 3\naddress = \"127.0.0.11\"\n\
         [[panels]]\nname = \"b\"\nat = [20, 0]\ncolumns = 23\nrows = 21\nturn = 90\nenter = \"top-right\"\n\
         path = \"progressive\"\naddress = \"127.0.0.12\"\nspare_pixels = 2\n\
         [receiver]\nboard = \"esp32-ethernet\"\n{receiver}"
    );
    std::fs::write(&path, text).unwrap();
    path
}

/// Two checks listen on one port: one at a time.
static PORT: std::sync::Mutex<()> = std::sync::Mutex::new(());

#[test]
fn an_independent_receiver_gets_every_pixel() {
    if !can("the independent E1.31 receiver", &["sacn", "PIL"], &[]) {
        return;
    }
    let _alone = PORT.lock();
    let folder = tempfile::tempdir().unwrap();
    run("receive_e131.py", &[program(), wall(&folder, 30), folder.path().into()]);
}

#[test]
fn a_dissector_finds_nothing_malformed() {
    if !can("the dissector", &["PIL"], &["tshark"]) {
        return;
    }
    let _alone = PORT.lock();
    let folder = tempfile::tempdir().unwrap();
    run("dissect.py", &[program(), wall(&folder, 50), folder.path().into()]);
}

#[test]
fn an_independent_art_net_receiver_and_a_dissector_agree() {
    if !can("the independent Art-Net receiver", &["python_artnet", "PIL"], &["tshark"]) {
        return;
    }
    let _alone = PORT.lock();
    let folder = tempfile::tempdir().unwrap();
    let wall = wall_with(&folder, "link = \"ethernet\"\nprotocol = \"art-net\"\n");
    run("receive_artnet.py", &[program(), wall, folder.path().into()]);
}

#[test]
fn an_independent_ddp_parser_gets_every_pixel() {
    if !can("the independent DDP parser", &["ddp.packet", "sliplib", "PIL"], &[]) {
        return;
    }
    let _alone = PORT.lock();
    let folder = tempfile::tempdir().unwrap();
    let wall = wall_with(&folder, "link = \"ethernet\"\nprotocol = \"ddp\"\n");
    run("receive_ddp.py", &[program(), folder.path().into(), wall]);
}

#[cfg(unix)]
#[test]
fn independent_slip_and_ddp_parsers_get_every_pixel_over_usb() {
    if !can("the independent SLIP parser", &["ddp.packet", "sliplib", "PIL"], &[]) {
        return;
    }
    let _alone = PORT.lock();
    for (part, bits) in [
        ("ws2812b-30", "24"),
        ("ws2812b-30", "16"),
        ("sk6812-rgbw-30", "24"),
        ("sk6812-rgbw-30", "16"),
    ] {
        let folder = tempfile::tempdir().unwrap();
        let usb = format!("link = \"usb\"\nport = \"PORT\"\ncolour_bits = {bits}\n");
        let wall = wall_with(&folder, &usb);
        let text = std::fs::read_to_string(&wall).unwrap();
        std::fs::write(&wall, text.replace("ws2812b-30", part)).unwrap();
        run("receive_ddp.py", &[program(), folder.path().into(), wall, bits.into()]);
    }
}

#[test]
fn what_independent_senders_send_is_shown() {
    let modules = ["sacn", "aioartnet", "ddp.packet"];
    if !can("independent senders", &modules, &[]) {
        return;
    }
    let _alone = PORT.lock();
    let folder = tempfile::tempdir().unwrap();
    let wall = wall_with(&folder, "link = \"ethernet\"\nprotocol = \"ddp\"\n");
    for protocol in ["e1.31", "art-net", "ddp"] {
        run("send_in.py", &[program(), wall.clone(), protocol.into()]);
    }
}

#[test]
fn an_independent_browser_sees_panels_and_is_believed() {
    if !can("the independent browser of DNS-SD", &["zeroconf", "ddp.packet"], &[]) {
        return;
    }
    let _alone = PORT.lock();
    let folder = tempfile::tempdir().unwrap();
    let wall = wall_with(&folder, "link = \"ethernet\"\nprotocol = \"ddp\"\n");
    run("neighbours.py", &[program(), wall, folder.path().into()]);
}

#[test]
fn an_independent_parser_reads_the_metrics() {
    if !can("the OpenMetrics parser", &["prometheus_client"], &[]) {
        return;
    }
    let _alone = PORT.lock();
    let folder = tempfile::tempdir().unwrap();
    let wall = wall_with(&folder, "link = \"ethernet\"\nprotocol = \"art-net\"\n");
    run("metrics.py", &[program(), wall, folder.path().into()]);
}

#[test]
fn averages_agree_with_a_numeric_library() {
    if !can("the numeric library", &["numpy", "PIL"], &[]) {
        return;
    }
    let folder = tempfile::tempdir().unwrap();
    run("average.py", &[example("average"), folder.path().into()]);
}

#[test]
fn the_sharper_filter_agrees_with_a_picture_library() {
    if !can("the picture library", &["numpy", "PIL"], &[]) {
        return;
    }
    let folder = tempfile::tempdir().unwrap();
    run("sharp.py", &[example("average"), folder.path().into()]);
}

#[test]
fn colours_agree_with_a_colour_science_library() {
    if !can("the colour-science library", &["colour", "numpy"], &[]) {
        return;
    }
    run("colours.py", &[example("colours")]);
}

#[test]
fn sounds_agree_with_the_standards_and_an_independent_fft() {
    if !can("the numeric library", &["numpy", "scipy"], &[]) {
        return;
    }
    run("sound.py", &[example_of("glowloom-sound", "listen")]);
}

#[test]
fn dither_keeps_what_it_states() {
    if !can("the numeric library", &["numpy"], &[]) {
        return;
    }
    run("dither.py", &[example("colours")]);
}

#[test]
fn games_play_on_a_wall_by_another_web_socket() {
    if !can("the example games", &["hashlib"], &[]) {
        return;
    }
    let folder = tempfile::tempdir().unwrap();
    let wall = wall_with(&folder, "link = \"ethernet\"\nprotocol = \"ddp\"\n");
    // Ports of its own: nobody waits for it.
    let text = std::fs::read_to_string(&wall).unwrap();
    let text =
        text.replace("127.0.0.11", "127.0.0.1:15231").replace("127.0.0.12", "127.0.0.1:15232");
    std::fs::write(&wall, text).unwrap();
    run("games.py", &[program(), wall, folder.path().into()]);
}

#[test]
fn no_strobe_leaves_the_flash_guard() {
    if !can("the count of flashes", &["numpy"], &[]) {
        return;
    }
    run("flashes.py", &[example("guarded")]);
}

/// An example of the room that shows.
fn example(name: &str) -> PathBuf {
    example_of("glowloom-show", name)
}

/// An example of a room.
fn example_of(room: &str, name: &str) -> PathBuf {
    built(&["build", "--quiet", "-p", room, "--example", name], &format!("examples/{name}"))
}

/// Data, synchronization and discovery packets against those of the PyPI library sacn 1.11.0.
#[test]
fn packets_equal_those_of_a_library() {
    use glowloom_wire::e131::{Cid, Priority, SourceName, Universe, data, discovery, sync};
    if !can("the E1.31 library", &["sacn"], &[]) {
        return;
    }
    let text = run("packets.py", &[]);
    let theirs = |name: &str| {
        let line = text.lines().find_map(|line| line.strip_prefix(&format!("{name} ")));
        line.unwrap_or_else(|| panic!("no {name} in {text}")).to_owned()
    };
    let hex = |bytes: &[u8]| bytes.iter().map(|byte| format!("{byte:02x}")).collect::<String>();
    let cid = Cid(std::array::from_fn(|i| 0x10 + u8::try_from(i).unwrap()));
    let universe = |n| Universe::new(n).unwrap();
    let source = SourceName::new("Glowloom");
    let mut bytes = [0xa5; 1144];

    let mut header = data::Header::new(cid, source, universe(1));
    header.priority = Priority::new(100).unwrap();
    header.sync = Some(universe(7000));
    header.sequence = 7;
    let slots: Vec<u8> = (0..512usize).map(|i| u8::try_from(i % 256).unwrap()).collect();
    let size = data::Data { header, slots: &slots }.emit(&mut bytes).unwrap();
    assert_eq!(hex(&bytes[..size]), theirs("data"));

    let size = sync::Sync { cid, sequence: 5, address: universe(7000) }.emit(&mut bytes).unwrap();
    assert_eq!(hex(&bytes[..size]), theirs("sync"));

    let header = discovery::Header { cid, source, page: 0, last_page: 0 };
    let size = header.emit(&[1, 2, 7].map(universe), &mut bytes).unwrap();
    assert_eq!(hex(&bytes[..size]), theirs("discovery"));
}

/// Local times of every zone against Python's zoneinfo, which reads the same database on its own.
#[test]
fn clocks_read_the_time_of_every_zone() {
    if !can("the time zones", &["zoneinfo"], &[]) {
        return;
    }
    let folder = tempfile::tempdir().unwrap();
    let (asked, read) = (folder.path().join("asked"), folder.path().join("read"));
    run("zones.py", &["make".into(), asked.clone()]);
    let mut out = String::new();
    let mut zone = (String::new(), glowloom_drive::Zone::named("UTC").unwrap());
    for line in std::fs::read_to_string(&asked).unwrap().lines() {
        let (name, seconds) = line.split_once(' ').unwrap();
        if zone.0 != name {
            zone = (name.into(), glowloom_drive::Zone::named(name).unwrap());
        }
        let told = zone.1.reading(seconds.parse().unwrap(), 0);
        let (date, time) =
            ((told.year, told.month, told.day), (told.hour, told.minute, told.second));
        out += &format!(
            "{line} {:04}-{:02}-{:02} {:02}:{:02}:{:02}\n",
            date.0, date.1, date.2, time.0, time.1, time.2
        );
    }
    std::fs::write(&read, out).unwrap();
    run("zones.py", &["check".into(), asked, read]);
}
