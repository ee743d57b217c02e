//! What the page is lent: the wall file and its journal on the disk, chance, the show that is on.

use std::net::{IpAddr, SocketAddr, TcpListener, UdpSocket};
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;

use glowloom_book::code::{Code, QUIET};
use glowloom_design::{MOST_BYTES, Wall};
use glowloom_drive::{Dimming, PanelHealth, Remote};
use glowloom_show::lettering::TextStyle;
use glowloom_show::{Preview, Source};
use glowloom_web::{Home, PanelState, Saved, Server, Show, State, Trouble};
use uuid::Uuid;

use crate::failure::Failure;
use crate::stage::{self, Stage};
use crate::worded::Lettering;
use crate::{diary, files, health, order, output};

/// Where the page is unless one says otherwise.
pub const USUAL: SocketAddr = SocketAddr::new(IpAddr::V4(std::net::Ipv4Addr::LOCALHOST), 4780);

/// A wall file on the disk, for its page.
pub struct OnDisk {
    path: PathBuf,
    show: Option<Arc<dyn Show>>,
}

impl OnDisk {
    /// Of that wall file, and the show of it that is on.
    pub fn new(path: &Path, show: Option<Arc<dyn Show>>) -> Arc<Self> {
        Arc::new(Self { path: path.into(), show })
    }
}

fn trouble(failure: &Failure) -> Trouble {
    Trouble::new(failure.message(), failure.remedy().unwrap_or("see to it, then try again"))
}

impl Home for OnDisk {
    fn name(&self) -> String {
        let name = self.path.file_name().map(Path::new);
        output::shown(name.unwrap_or(&self.path))
    }

    fn is_new(&self) -> bool {
        !self.path.exists()
    }

    fn begin(&self, now: &[u8]) -> Result<(), Trouble> {
        files::write_whole(&self.path, now, false).map_err(|failure| trouble(&failure))
    }

    fn wall(&self) -> Result<Vec<u8>, Trouble> {
        files::read_at_most(&self.path, MOST_BYTES).map_err(|failure| trouble(&failure))
    }

    fn save_wall(&self, before: &[u8], now: &[u8]) -> Result<Saved, Trouble> {
        let disk = self.wall()?;
        if disk != before {
            return Ok(Saved::Changed(disk));
        }
        files::write_whole(&self.path, now, true).map_err(|failure| trouble(&failure))?;
        Ok(Saved::Written)
    }

    fn journal(&self) -> Result<Option<Vec<u8>>, Trouble> {
        let journal = diary::read(&diary::path(&self.path)).map_err(|failure| trouble(&failure))?;
        Ok(journal.map(|journal| journal.text()))
    }

    fn save_journal(&self, text: &[u8]) -> Result<(), Trouble> {
        let path = diary::path(&self.path);
        files::write_whole(&path, text, true).map_err(|failure| trouble(&failure))
    }

    fn secret(&self) -> String {
        secret()
    }

    fn show(&self) -> Option<Arc<dyn Show>> {
        self.show.clone()
    }
}

/// 122 bits of the system's chance, as letters and digits.
fn secret() -> String {
    Uuid::new_v4().simple().to_string()
}

/// A show on the stage, for its page.
pub struct OnStage {
    stage: Arc<Stage>,
    wall: Mutex<Wall>,
    remote: Remote,
    dimming: Option<Dimming>,
    preview: Preview,
    told: Mutex<Told>,
    /// What is shown when no text is.
    kept: Arc<Mutex<Option<Box<dyn Source>>>>,
}

struct Told {
    brightness: f32,
    text: String,
}

impl OnStage {
    /// Of a stage that plays that wall.
    pub fn new(
        stage: &Arc<Stage>,
        wall: &Wall,
        dimming: Option<Dimming>,
    ) -> Result<Arc<Self>, Failure> {
        #[expect(clippy::cast_possible_truncation, reason = "0 to 1")]
        let full = wall.show.brightness as f32;
        let brightness = dimming.as_ref().map_or(full, |dimming| dimming.wanted().share());
        Ok(Arc::new(Self {
            stage: Arc::clone(stage),
            wall: Mutex::new(wall.clone()),
            remote: stage.remote(),
            dimming,
            preview: stage::preview(wall, &stage.patch)?,
            told: Mutex::new(Told { brightness, text: String::new() }),
            kept: Arc::default(),
        }))
    }
}

impl OnStage {
    /// The wall file has another running order or other hours now.
    pub fn follow(&self, wall: &Wall) {
        #[expect(clippy::cast_possible_truncation, reason = "0 to 1")]
        let full = wall.show.brightness as f32;
        locked(&self.told).brightness = full;
        *locked(&self.wall) = wall.clone();
    }
}

fn locked<T>(mutex: &Mutex<T>) -> std::sync::MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

impl Show for OnStage {
    fn picture(&self, into: &mut Vec<[u8; 3]>) -> u64 {
        let mut bytes = Vec::new();
        let number = self.stage.panels.picture(&mut bytes);
        self.preview.colours(&bytes, into);
        number
    }

    fn state(&self) -> State {
        let health = self.stage.health();
        let told = locked(&self.told);
        let mut words = Vec::new();
        words.extend(health.source_error.clone());
        if health.dimmed > 0 {
            words.push(format!(
                "The supply guard has dimmed {} frames to what supplies and copper carry.",
                health.dimmed
            ));
        }
        if health.broken {
            words.push("Sending has broken down: start again.".into());
        }
        State {
            line: health::line(&health),
            brightness: told.brightness,
            text: told.text.clone(),
            panels: health.panels.iter().map(panel).collect(),
            words,
        }
    }

    fn set_brightness(&self, share: f32) -> bool {
        let set = match &self.dimming {
            // Quiet hours stay what they are.
            Some(dimming) => match order::dimmer(&locked(&self.wall).show, Some(share)) {
                Ok(table) => {
                    dimming.replace(table);
                    true
                }
                Err(_) => false,
            },
            None => match stage::brightness(share) {
                Ok(brightness) => {
                    self.remote.tell(move |pipeline, _| pipeline.set_brightness(brightness))
                }
                Err(_) => false,
            },
        };
        if set {
            locked(&self.told).brightness = share;
        }
        set
    }

    fn show_text(&self, text: &str) -> Result<(), Trouble> {
        let text = text.trim();
        let kept = Arc::clone(&self.kept);
        let told = if text.is_empty() {
            self.remote.tell(move |pipeline, now| {
                if let Some(source) = locked(&kept).take() {
                    pipeline.show(source, now);
                }
            })
        } else {
            let lettering = Lettering::Text { text: text.into(), style: TextStyle::default() };
            let source = lettering
                .source({
                    let wall = locked(&self.wall);
                    (wall.columns, wall.rows)
                })
                .map_err(|error| Trouble::new(error.to_string(), "write it otherwise"))?;
            self.remote.tell(move |pipeline, now| {
                let before = pipeline.show(source, now);
                locked(&kept).get_or_insert(before);
            })
        };
        if !told {
            return Err(Trouble::new("the show is over", "start it again"));
        }
        locked(&self.told).text = text.into();
        Ok(())
    }
}

fn panel(panel: &PanelHealth) -> PanelState {
    let well = !panel.failing;
    let mut words = if well { "well" } else { "not reached" }.to_owned();
    if let Some(error) = &panel.error {
        words = format!("{words}: {error}");
    }
    if panel.dropped > 0 {
        words = format!("{words}; {} frames not taken", panel.dropped);
    }
    PanelState { name: panel.name.clone(), well, words }
}

/// An open page with the address to open it at.
pub struct Open {
    /// Ends when it is dropped.
    _server: Server,
    /// What to open in a browser, with its token if it has one.
    pub link: String,
}

/// Opens the page there. Away from loopback it gets a token.
pub fn open(at: SocketAddr, home: Arc<dyn Home>) -> Result<Open, Failure> {
    let cannot = |error: std::io::Error| {
        Failure::other(
            format!("cannot open the page at {at}: {error}"),
            "give another address and port with --listen, such as --listen 127.0.0.1:0 for any free port",
        )
    };
    let listener = TcpListener::bind(at).map_err(cannot)?;
    let token = (!at.ip().is_loopback()).then(secret);
    let server = Server::open(listener, home, token.clone()).map_err(cannot)?;
    let here = SocketAddr::new(reachable(at.ip()), server.at().port());
    let link = match token {
        Some(token) => format!("http://{here}/enter#{token}"),
        None => format!("http://{here}/"),
    };
    Ok(Open { _server: server, link })
}

/// An address that others reach this computer at, where it listens at all of them. Nothing is sent.
fn reachable(ip: IpAddr) -> IpAddr {
    if !ip.is_unspecified() {
        return ip;
    }
    // 192.0.2.0/24 is for documentation (RFC 5737): the system only says which way it would go.
    let socket = UdpSocket::bind((ip, 0)).and_then(|socket| {
        socket.connect(("192.0.2.1", 9))?;
        socket.local_addr()
    });
    socket.map_or(std::net::Ipv4Addr::LOCALHOST.into(), |address| address.ip())
}

/// The code of a link for a phone, two rows of squares to a line of the terminal, dark on light.
pub fn code(link: &str) -> Option<String> {
    let code = Code::of(link)?;
    let (quiet, all) = (QUIET / 2, code.side + QUIET);
    let dark = |x: u32, y: u32| {
        x.checked_sub(quiet).zip(y.checked_sub(quiet)).is_some_and(|(x, y)| code.is_dark(x, y))
    };
    let style = anstyle::Style::new()
        .fg_color(Some(anstyle::AnsiColor::Black.into()))
        .bg_color(Some(anstyle::AnsiColor::BrightWhite.into()));
    let mut text = String::new();
    for y in (0..all).step_by(2) {
        text.push_str(&format!("  {style}"));
        for x in 0..all {
            text.push(match (dark(x, y), dark(x, y + 1)) {
                (true, true) => '█',
                (true, false) => '▀',
                (false, true) => '▄',
                (false, false) => ' ',
            });
        }
        text.push_str(&format!("{style:#}\n"));
    }
    Some(text)
}

/// How often a served show is looked after.
pub const NAP: Duration = Duration::from_millis(500);
