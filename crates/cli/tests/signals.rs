//! What the system and a person may say to a running show: end (SIGTERM, SIGINT), read again (SIGHUP).
#![cfg(unix)]
#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

mod support;

use std::io::{BufRead, BufReader, Read};
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::sync::mpsc;
use std::time::{Duration, Instant};

use support::{ends, program, text};
use tempfile::TempDir;

const LONG: Duration = Duration::from_secs(30);

/// A wall of two panels at these loopback hosts.
fn write(folder: &Path, hosts: [u8; 2], more: &str) {
    let wall = format!(
        "format = 1\n[wall]\nname = \"Jetty\"\ncolumns = 12\nrows = 6\n[strip]\npart = \"ws2812b-30\"\n\
         [panel]\ncolumns = 6\nrows = 6\n\
         [[panels]]\nname = \"a\"\nat = [0, 0]\naddress = \"127.0.0.{}\"\n\
         [[panels]]\nname = \"b\"\nat = [6, 0]\naddress = \"127.0.0.{}\"\n\
         [power]\nfeeds = 6\n\
         [receiver]\nboard = \"esp32-ethernet\"\nlink = \"ethernet\"\nprotocol = \"ddp\"\n{more}",
        hosts[0], hosts[1]
    );
    std::fs::write(folder.join("wall.toml"), wall).unwrap();
}

/// A program that runs, and the lines that it writes.
struct Running {
    child: Child,
    lines: mpsc::Receiver<String>,
}

impl Running {
    fn start(folder: &Path, arguments: &[&str]) -> Self {
        let mut command = program(folder, arguments);
        let mut child = command
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        let (say, lines) = mpsc::channel();
        let out: Box<dyn Read + Send> = Box::new(child.stdout.take().unwrap());
        let err: Box<dyn Read + Send> = Box::new(child.stderr.take().unwrap());
        for from in [out, err] {
            let say = say.clone();
            std::thread::spawn(move || {
                let lines = BufReader::new(from).lines();
                lines.map_while(Result::ok).for_each(|line| drop(say.send(line)));
            });
        }
        Self { child, lines }
    }

    fn signal(&self, name: &str) {
        let kill = format!("kill -{name} {}", self.child.id());
        assert!(Command::new("sh").args(["-c", &kill]).status().unwrap().success());
    }

    /// Waits for a line that has these words.
    fn says(&self, words: &str) {
        let mut all = Vec::new();
        loop {
            let line = self.lines.recv_timeout(LONG);
            all.push(line.unwrap_or_else(|_| panic!("{words:?} is not in {all:#?}")));
            if all.last().unwrap().contains(words) {
                return;
            }
        }
    }

    /// The code it ends with, soon.
    fn code(&mut self) -> Option<i32> {
        let start = Instant::now();
        loop {
            if let Some(status) = self.child.try_wait().unwrap() {
                return status.code();
            }
            assert!(start.elapsed() < LONG, "never ends");
            std::thread::sleep(Duration::from_millis(20));
        }
    }
}

impl Drop for Running {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// Waits until `status --json` tells something.
fn until(folder: &TempDir, what: &str, holds: impl Fn(&serde_json::Value) -> bool) {
    let start = Instant::now();
    loop {
        let output = program(folder.path(), &["status", "wall.toml", "--json"]).output().unwrap();
        let said = text(&output.stdout);
        let told = serde_json::from_str(&said).unwrap_or_default();
        if holds(&told) {
            return;
        }
        assert!(start.elapsed() < LONG, "never: {what}: {said}");
        std::thread::sleep(Duration::from_millis(100));
    }
}

fn plays(told: &serde_json::Value) -> bool {
    told["frames_sent"].as_u64() > Some(5)
}

#[test]
fn a_show_ends_cleanly_by_either_signal() {
    let folder = tempfile::tempdir().unwrap();
    write(folder.path(), [131, 132], "");
    let mut panels = Running::start(folder.path(), &["panels", "wall.toml"]);
    for signal in ["TERM", "INT"] {
        let mut show = Running::start(folder.path(), &["show", "wall.toml", "drift"]);
        until(&folder, "it plays", plays);
        show.signal(signal);
        assert_eq!(show.code(), Some(0), "{signal}");
        // It leaves no report behind.
        let (said, _) = ends(1, folder.path(), &["status", "wall.toml"]);
        assert_eq!(said, "Jetty: nothing plays on it\n");
    }
    // What has nothing to read again ends when its terminal hangs up.
    panels.signal("HUP");
    assert_eq!(panels.code(), Some(0));
}

/// A running order that alone has changed is handed to the show that plays: nothing begins anew.
#[test]
fn a_hang_up_plays_on_by_another_running_order() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    let order = |source: &str| format!("[[show.running_order]]\nsource = {source:?}\n");
    write(at, [145, 146], &order("drift"));
    let show = Running::start(at, &["show", "wall.toml", "--no-discovery"]);
    until(&folder, "it plays", plays);
    write(at, [145, 146], &order("missing.png"));
    show.signal("HUP");
    show.says("missing.png");
    show.says("the show goes on as it was");
    write(at, [145, 146], &order("tide"));
    show.signal("HUP");
    show.says("was read again: its running order plays on");
    until(&folder, "it plays on", plays);
}

#[test]
fn a_hang_up_reads_the_wall_file_again() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    let other = tempfile::tempdir().unwrap();
    write(at, [141, 142], "");
    // Panels at the old places and at a new one, which stay all the time.
    let _old = Running::start(at, &["panels", "wall.toml"]);
    write(other.path(), [143, 144], "");
    let _new = Running::start(other.path(), &["panels", "wall.toml"]);
    // Both say that they are panels a and b of this wall; the wall file alone is to say where these are.
    let show = Running::start(at, &["show", "wall.toml", "drift", "--no-discovery"]);
    until(&folder, "it plays", plays);
    // Broken: the error is shown, and the show goes on.
    std::fs::write(at.join("wall.toml"), "format = 1\n[wall]\nname = \"Jetty\"\ncolums = 12\n")
        .unwrap();
    show.signal("HUP");
    show.says("colums");
    show.says("the show goes on as it was");
    // Sound: the second panel is elsewhere now.
    write(at, [141, 143], "frames_per_second = 40\n");
    show.signal("HUP");
    show.says("was read again: playing on 2 panels");
    let well = |told: &serde_json::Value| {
        let panels = &told["panels"];
        plays(told)
            && panels[1]["at"] == "127.0.0.143:4048"
            && panels[1]["told"]["frames_shown"].as_u64() > Some(5)
            && told["frames_per_second_aimed"] == 40.0
    };
    until(&folder, "it plays at the new place", well);
    // The first panel has had no packet twice, none too late, and none of another sender.
    until(&folder, "the first panel is well", |told| {
        let first = &told["panels"][0]["told"];
        first["packets_late"] == 0
            && first["packets_lost"] == 0
            && first["frames_shown"].as_u64() > Some(5)
    });
}

#[test]
fn what_comes_on_standard_input_cannot_begin_anew() {
    let folder = tempfile::tempdir().unwrap();
    write(folder.path(), [151, 152], "");
    let mut show = Running::start(folder.path(), &["show", "wall.toml", "frames"]);
    show.says("Playing on");
    show.signal("HUP");
    show.says("standard input cannot begin anew");
    show.signal("TERM");
    assert_eq!(show.code(), Some(0));
}

#[test]
fn a_second_show_waits_and_takes_over_even_from_one_that_was_killed() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    write(at, [161, 162], "");
    let _panels = Running::start(at, &["panels", "wall.toml"]);
    let first = Running::start(at, &["show", "wall.toml", "drift"]);
    until(&folder, "the first plays", plays);
    let mut second = Running::start(at, &["show", "wall.toml", "count"]);
    second.says(&format!("process {} plays this wall already", first.child.id()));
    let third = Running::start(at, &["show", "wall.toml", "tide"]);
    third.says("plays this wall already");
    first.signal("KILL");
    until(&folder, "another plays", |told| {
        plays(told) && told["process"] != first.child.id() && told["process"].is_u64()
    });
    // Whoever waits may be ended, too.
    second.signal("TERM");
    third.signal("TERM");
    assert_eq!(second.code(), Some(0));
}

/// A service's standard error is a stream of the journal, which its environment names; here it is a file.
#[cfg(target_os = "linux")]
#[test]
fn lines_to_the_journal_have_a_level() {
    use std::os::unix::fs::MetadataExt;
    let folder = tempfile::tempdir().unwrap();
    write(folder.path(), [171, 172], "nonsense = 1\n");
    let path = folder.path().join("journal");
    let said = |named: Option<String>| {
        let file = std::fs::File::create(&path).unwrap();
        let about = file.metadata().unwrap();
        let named = named.unwrap_or(format!("{}:{}", about.dev(), about.ino()));
        let mut command = program(folder.path(), &["check", "wall.toml"]);
        let status = command.env("JOURNAL_STREAM", named).stderr(file).status().unwrap();
        assert_eq!(status.code(), Some(2));
        std::fs::read_to_string(&path).unwrap()
    };
    let lines = said(None);
    assert!(!lines.is_empty() && lines.lines().all(|line| line.starts_with('<')), "{lines}");
    assert!(
        lines.lines().any(|line| line.starts_with("<3>error: wall.toml has 1 error")),
        "{lines}"
    );
    // Another stream is the journal's: this one is not.
    assert!(!said(Some("1:1".into())).contains("<3>"));
}

#[test]
fn a_unit_is_printed_with_the_same_words() {
    let folder = tempfile::tempdir().unwrap();
    write(folder.path(), [181, 182], "");
    let words = ["show", "wall.toml", "text:50 % \"off\"", "--brightness", "0.5", "--unit"];
    let (unit, _) = ends(0, folder.path(), &words);
    let started = unit.lines().find(|line| line.starts_with("ExecStart=")).unwrap();
    assert!(
        started.ends_with(r#"" "show" "wall.toml" "text:50 %% \"off\"" "--brightness" "0.5""#),
        "{started}"
    );
    assert!(unit.contains("ExecReload=/bin/kill -HUP $MAINPID"), "{unit}");
    let (_, said) = ends(2, folder.path(), &["show", "wall.toml", "-", "--unit"]);
    assert!(said.contains("no standard input"), "{said}");
}
