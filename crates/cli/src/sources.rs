//! From what was asked for to something that yields frames.

use std::collections::BTreeMap;
use std::io::{Cursor, Read};
use std::path::{Component, Path, PathBuf};
use std::sync::Arc;
use std::time::Duration;

use glowloom_design::Wall;
use glowloom_drive::socket::Hall;
use glowloom_drive::{
    Cover, FramesPerSecond, Incoming, Ordered, Piped, Place, Rate, WebAddress, Words, Zone,
};
use glowloom_show::made::{self, made_by_code};
use glowloom_show::order::Scene;
use glowloom_show::picture::Format;
use glowloom_show::{Laying, Opener, Picture, Source, SourceError};

use crate::failure::Failure;
use crate::files;
use crate::network::Network;
use crate::stage;
use crate::worded::films::{self, Filmed, WallSize};
use crate::worded::{self, Fetched, Lettering, Made, Sound, Worded};

/// The largest picture file that is read, bytes; and the most for all that take turns.
const MOST_BYTES: usize = 256 << 20;

/// Where a source is asked for.
#[derive(Clone, Copy)]
struct Around<'a> {
    wall: &'a Wall,
    laying: Laying,
    /// Files are in this folder; `None`: anywhere.
    folder: Option<&'a Path>,
}

/// The first bytes of a file, which tell what kind of picture it is.
const TELLING: u64 = 12;

/// Something to show, opened once so that what is wrong with it is told before anything plays.
#[derive(Clone)]
enum Asked {
    /// A picture made by code.
    Made(&'static made::Made),
    /// What other senders send.
    Network(Incoming),
    /// A text or a clock.
    Lettering { lettering: Lettering, wall: (u32, u32) },
    /// A sound, drawn.
    Sound(Sound),
    /// What ffmpeg reads, on a wall.
    Filmed { filmed: Filmed, wall: WallSize },
    /// Words made of data.
    Words(Words),
    /// A picture whose address stands in data.
    Cover(Cover),
    /// What programs and pages send over a WebSocket.
    Socket(Arc<Hall>),
    /// The bytes of a picture's file.
    Picture { shown: String, bytes: Arc<[u8]> },
}

/// The sources of a command line: one plays on and on, several take turns.
pub fn asked_for(
    names: &[PathBuf],
    seconds: Duration,
    laying: Laying,
    wall: &Wall,
    network: &mut Network<'_>,
) -> Result<Box<dyn Source>, Failure> {
    if let [name] = names
        && let Some(source) = piped(name, wall, laying)?
    {
        return Ok(source);
    }
    let mut asked = Vec::with_capacity(names.len());
    for name in names {
        asked.push(one(name, Around { wall, laying, folder: None }, network)?);
    }
    if asked.iter().map(Asked::bytes).sum::<usize>() > MOST_BYTES {
        return Err(Failure::other(
            format!("the pictures are larger than {} MiB together", MOST_BYTES >> 20),
            "save them smaller: a wall has few pixels",
        ));
    }
    if asked.len() == 1 {
        return asked.remove(0).open(laying);
    }
    let mut scenes = Vec::new();
    for asked in asked {
        asked.open(laying)?;
        scenes.push(Scene::new(asked.opener(laying), seconds));
    }
    // No hours are kept: any clock will do.
    Ok(Box::new(Ordered::new(scenes, None, Zone::utc()).0))
}

/// Opens sources for a running order: each file is read once, and all of them stay within a limit. Paths
/// start from a folder and stay inside it.
pub struct Reader<'a, 'n> {
    wall: &'a Wall,
    folder: &'a Path,
    network: &'a mut Network<'n>,
    read: BTreeMap<PathBuf, Asked>,
    held: usize,
}

impl<'a, 'n> Reader<'a, 'n> {
    /// For the order of a wall file in this folder.
    pub fn new(wall: &'a Wall, folder: &'a Path, network: &'a mut Network<'n>) -> Self {
        Self { wall, folder, network, read: BTreeMap::new(), held: 0 }
    }

    /// Opens one, so that what is wrong with it is told at the start and not in an hour, and gives what
    /// opens it again.
    pub fn opener(&mut self, name: &str, laying: Laying) -> Result<Opener, Failure> {
        let asked = self.asked(Path::new(name), laying)?;
        asked.open(laying)?;
        Ok(asked.opener(laying))
    }

    fn asked(&mut self, source: &Path, laying: Laying) -> Result<Asked, Failure> {
        if let Some(known) = self.read.get(source) {
            return Ok(known.clone());
        }
        let around = Around { wall: self.wall, laying, folder: Some(self.folder) };
        if let Some(named) = named(source, around, self.network)? {
            let named = named.of_folder(self.folder)?;
            // What is fetched is fetched once, however often it is named.
            self.read.insert(source.into(), named.clone());
            return Ok(named);
        }
        inside(source)?;
        let asked = file(&self.folder.join(source), self.wall)?;
        self.held += asked.bytes();
        if self.held > MOST_BYTES {
            return Err(Failure::other(
                format!(
                    "the pictures of the running order are larger than {} MiB",
                    MOST_BYTES >> 20
                ),
                "save them smaller: a wall has few pixels",
            ));
        }
        self.read.insert(source.into(), asked.clone());
        Ok(asked)
    }
}

/// Whether a path of the running order stays in the wall's folder.
fn inside(source: &Path) -> Result<(), Failure> {
    let within = |part| matches!(part, Component::Normal(_) | Component::CurDir);
    if source.components().all(within) {
        return Ok(());
    }
    Err(Failure::other(
        format!("the running order names {}, outside the wall's folder", source.display()),
        "keep pictures in the folder of the wall file or below it",
    ))
}

/// One source by its name: a protocol, a picture made by code, words, `-` for a picture on standard input, else a file.
fn one(name: &Path, around: Around<'_>, network: &mut Network<'_>) -> Result<Asked, Failure> {
    if let Some(named) = named(name, around, network)? {
        return Ok(named);
    }
    if name == Path::new("-") {
        return rest_of_input(Vec::new());
    }
    file(name, around.wall)
}

/// A picture on standard input, of which some bytes have been read.
fn rest_of_input(mut bytes: Vec<u8>) -> Result<Asked, Failure> {
    let most = u64::try_from(MOST_BYTES).unwrap_or(u64::MAX - 1);
    std::io::stdin().lock().take(most + 1).read_to_end(&mut bytes).map_err(input_failure)?;
    picture("standard input".into(), bytes)
}

fn input_failure(error: std::io::Error) -> Failure {
    Failure::file(Path::new("standard input"), "read", error)
}

/// What comes on standard input and plays alone: `-` is a picture if it begins as one, else raw frames;
/// `frames` are raw frames whatever they begin with. `None`: the name is another one.
fn piped(name: &Path, wall: &Wall, laying: Laying) -> Result<Option<Box<dyn Source>>, Failure> {
    if let Some(Worded::Frames { rate }) = in_words(name)? {
        return frames(std::io::stdin(), rate, wall).map(Some);
    }
    if name != Path::new("-") {
        return Ok(None);
    }
    let mut head = Vec::new();
    std::io::stdin().lock().take(TELLING).read_to_end(&mut head).map_err(input_failure)?;
    if head.is_empty() || Format::of(&head).is_some() {
        return rest_of_input(head)?.open(laying).map(Some);
    }
    frames(Cursor::new(head).chain(std::io::stdin()), None, wall).map(Some)
}

/// Raw frames of the wall's size; without a rate at the one that the wall file wants.
fn frames(
    from: impl Read + Send + 'static,
    rate: Option<Rate>,
    wall: &Wall,
) -> Result<Box<dyn Source>, Failure> {
    let wanted = FramesPerSecond(wall.receiver.frames_per_second.0);
    let rate = rate.map_or_else(|| Rate::new(wanted), Ok).map_err(stage::drive_failure)?;
    Piped::start(from, (wall.columns, wall.rows), rate)
        .map(|piped| Box::new(piped) as _)
        .map_err(stage::drive_failure)
}

fn in_words(name: &Path) -> Result<Option<Worded>, Failure> {
    name.to_str().map_or(Ok(None), worded::read)
}

/// The first frame of one source is looked at, and it is not played.
pub fn looked_at(name: &Path, laying: Laying, wall: &Wall) -> Result<Box<dyn Source>, Failure> {
    let around = Around { wall, laying, folder: None };
    let asked = one(name, around, &mut Network::deaf())?;
    if matches!(asked, Asked::Words(_) | Asked::Cover(_)) {
        return Err(Failure::other(
            "what is fetched cannot be planned for: it changes",
            "give a picture, or a text",
        ));
    }
    asked.open(laying)
}

/// What is known by a name, and is no file.
fn named(
    name: &Path,
    around: Around<'_>,
    network: &mut Network<'_>,
) -> Result<Option<Asked>, Failure> {
    let wall = around.wall;
    match in_words(name)? {
        Some(Worded::Socket { at, origins }) => {
            return network.hall(at, origins, wall).map(|hall| Some(Asked::Socket(hall)));
        }
        Some(Worded::Fetched(fetched)) => return fetch(fetched, around).map(Some),
        Some(Worded::Frames { .. }) => {
            return Err(Failure::other(
                "raw frames on standard input cannot take turns, nor be planned for",
                "play them alone, by glowloom show",
            ));
        }
        Some(Worded::Lettering(lettering)) => {
            return Ok(Some(Asked::Lettering { lettering, wall: (wall.columns, wall.rows) }));
        }
        Some(Worded::Sound(sound)) => return Ok(Some(Asked::Sound(sound))),
        Some(Worded::Filmed(filmed)) => {
            return Ok(Some(Asked::Filmed { filmed, wall: films::wall_of(wall) }));
        }
        None => {}
    }
    if let Some(made) = made_by_code().iter().find(|made| Path::new(made.name) == name) {
        return Ok(Some(Asked::Made(made)));
    }
    Ok(network.listen(name)?.map(Asked::Network))
}

/// Begins to fetch what is asked for.
fn fetch(fetched: Fetched, around: Around<'_>) -> Result<Asked, Failure> {
    let Fetched { from, every, made } = fetched;
    let web = ["http://", "https://"].iter().any(|start| {
        from.get(..start.len()).is_some_and(|found| found.eq_ignore_ascii_case(start))
    });
    let place = match (WebAddress::new(&from), around.folder) {
        (Some(address), _) => Place::Web(address),
        (None, _) if web || from.contains("://") => {
            return Err(Failure::other(
                format!("{from:?} is no address that is fetched from"),
                "write such as http://192.0.2.7/weather.json, by http or https",
            ));
        }
        (None, Some(folder)) => {
            inside(Path::new(&from))?;
            Place::File(folder.join(from))
        }
        (None, None) => Place::File(from.into()),
    };
    let wall = (around.wall.columns, around.wall.rows);
    match made {
        Made::Words { template, style } => {
            Words::start(place, every, template, style, wall).map(Asked::Words)
        }
        Made::Picture(pointer) => {
            Cover::start(place, every, pointer, around.laying, wall).map(Asked::Cover)
        }
    }
    .map_err(stage::drive_failure)
}

/// A picture that we read ourselves, by how it begins or how it is called; else what ffmpeg can make of it.
fn file(path: &Path, wall: &Wall) -> Result<Asked, Failure> {
    let head = files::head(path, TELLING)?;
    if !head.is_empty() && Format::of(&head).is_none() && !films::is_named_as_picture(path) {
        return Ok(Asked::Filmed { filmed: Filmed::file(path), wall: films::wall_of(wall) });
    }
    picture(crate::output::shown(path), files::read_at_most(path, MOST_BYTES)?)
}

fn picture(shown: String, bytes: Vec<u8>) -> Result<Asked, Failure> {
    if bytes.len() > MOST_BYTES {
        return Err(Failure::other(
            format!("{shown} is larger than {} MiB", MOST_BYTES >> 20),
            "save it smaller: a wall has few pixels",
        ));
    }
    Ok(Asked::Picture { shown, bytes: bytes.into() })
}

impl Asked {
    /// The same as the running order of a wall file in a folder means it: what it reads lies there.
    fn of_folder(self, folder: &Path) -> Result<Self, Failure> {
        match self {
            Self::Sound(sound) => {
                sound.file().map_or(Ok(()), inside)?;
                Ok(Self::Sound(sound.within(folder)))
            }
            Self::Filmed { filmed, wall } => {
                filmed.path().map_or(Ok(()), inside)?;
                Ok(Self::Filmed { filmed: filmed.in_folder(folder), wall })
            }
            other => Ok(other),
        }
    }

    /// Bytes that are held for it.
    fn bytes(&self) -> usize {
        match self {
            Self::Made(_)
            | Self::Network(_)
            | Self::Lettering { .. }
            | Self::Sound(_)
            | Self::Filmed { .. }
            | Self::Words(_)
            | Self::Socket(_)
            | Self::Cover(_) => 0,
            Self::Picture { bytes, .. } => bytes.len(),
        }
    }

    fn open(&self, laying: Laying) -> Result<Box<dyn Source>, Failure> {
        match self {
            Self::Made(made) => Ok(made.source()),
            Self::Network(incoming) => Ok(incoming.source()),
            Self::Sound(sound) => sound.told(),
            Self::Words(words) => Ok(words.source()),
            Self::Socket(hall) => Ok(hall.source()),
            Self::Cover(cover) => Ok(cover.source()),
            // The errors say what to do.
            Self::Lettering { lettering, wall } => lettering
                .source(*wall)
                .map_err(|error| Failure::Other { message: error.to_string(), remedy: None }),
            Self::Filmed { filmed, wall } => filmed.open(*wall, laying),
            Self::Picture { shown, bytes } => Picture::open(Arc::clone(bytes))
                .map(|picture| picture.into_source(laying))
                .map_err(|error| Failure::Other {
                    message: format!("cannot show {shown}: {error}"),
                    remedy: None,
                }),
        }
    }

    fn opener(self, laying: Laying) -> Opener {
        Box::new(move || match &self {
            Self::Made(made) => Ok(made.source()),
            Self::Network(incoming) => Ok(incoming.source()),
            Self::Words(words) => Ok(words.source()),
            Self::Socket(hall) => Ok(hall.source()),
            Self::Cover(cover) => Ok(cover.source()),
            Self::Lettering { lettering, wall } => {
                lettering.source(*wall).map_err(|error| SourceError::Frames(error.to_string()))
            }
            Self::Sound(sound) => sound.source(),
            Self::Filmed { filmed, wall } => filmed.begin(*wall, laying),
            Self::Picture { bytes, .. } => {
                let picture = Picture::open(Arc::clone(bytes))?;
                Ok(picture.into_source(laying))
            }
        })
    }
}
