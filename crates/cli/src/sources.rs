//! From what was asked for to something that yields frames.

use std::collections::BTreeMap;
use std::io::Read;
use std::path::{Component, Path, PathBuf};
use std::sync::Arc;
use std::time::Duration;

use glowloom_drive::Incoming;
use glowloom_show::made::{Made, made_by_code};
use glowloom_show::{Laying, Opener, Picture, Scene, Sequence, Source};

use crate::failure::Failure;
use crate::files;
use crate::network::Network;
use crate::opened::Opened;

/// The largest picture file that is read, bytes; and the most for all that take turns.
const MOST_BYTES: usize = 256 << 20;

/// Something to show, opened once so that what is wrong with it is told before anything plays.
#[derive(Clone)]
enum Asked {
    /// A picture made by code.
    Made(&'static Made),
    /// What other senders send.
    Network(Incoming),
    /// The bytes of a picture's file.
    Picture { shown: String, bytes: Arc<[u8]> },
}

/// The sources of a command line: one plays on and on, several take turns.
pub fn asked_for(
    names: &[PathBuf],
    seconds: Duration,
    laying: Laying,
    network: &mut Network<'_>,
) -> Result<Box<dyn Source>, Failure> {
    let mut asked = Vec::with_capacity(names.len());
    for name in names {
        asked.push(one(name, network)?);
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
    sequence(asked.into_iter().map(|asked| (asked, seconds)), laying)
}

/// The running order of a wall file. Its paths start from the file's folder and stay inside it.
pub fn running_order(
    opened: &Opened,
    laying: Laying,
    network: &mut Network<'_>,
) -> Result<Box<dyn Source>, Failure> {
    let order = &opened.wall.show.running_order;
    if order.is_empty() {
        let names = made_by_code().iter().map(|made| made.name).collect::<Vec<_>>();
        return Err(Failure::other(
            format!("{} has no running order", crate::output::shown(&opened.path)),
            format!(
                "name a picture file, a protocol to listen to, or one made by code: {}",
                names.join(", ")
            ),
        ));
    }
    let mut scenes = Vec::with_capacity(order.len());
    let mut read: BTreeMap<&Path, Asked> = BTreeMap::new();
    let mut held = 0;
    for scene in order {
        let source = Path::new(&scene.source);
        let inside = source
            .components()
            .all(|part| matches!(part, Component::Normal(_) | Component::CurDir));
        if !inside {
            return Err(Failure::other(
                format!("the running order names {}, outside the wall's folder", scene.source),
                "keep pictures in the folder of the wall file or below it",
            ));
        }
        let named = named(source, network)?;
        let asked = match (named, read.get(source)) {
            (Some(named), _) => named,
            (None, Some(known)) => known.clone(),
            (None, None) => {
                let asked = file(&opened.folder().join(source))?;
                held += asked.bytes();
                if held > MOST_BYTES {
                    return Err(Failure::other(
                        format!(
                            "the pictures of the running order are larger than {} MiB",
                            MOST_BYTES >> 20
                        ),
                        "save them smaller: a wall has few pixels",
                    ));
                }
                read.insert(source, asked.clone());
                asked
            }
        };
        let length = Duration::try_from_secs_f64(scene.seconds.0).unwrap_or(Duration::MAX);
        scenes.push((asked, length));
    }
    sequence(scenes.into_iter(), laying)
}

fn sequence(
    asked: impl Iterator<Item = (Asked, Duration)>,
    laying: Laying,
) -> Result<Box<dyn Source>, Failure> {
    let mut scenes = Vec::new();
    for (asked, length) in asked {
        // Once now, so that a broken file is told at the start and not in an hour.
        asked.open(laying)?;
        scenes.push(Scene { open: asked.opener(laying), length });
    }
    Ok(Box::new(Sequence::new(scenes)))
}

/// One source by its name: a protocol, a picture made by code, `-` for standard input, else a file.
fn one(name: &Path, network: &mut Network<'_>) -> Result<Asked, Failure> {
    if let Some(named) = named(name, network)? {
        return Ok(named);
    }
    if name == Path::new("-") {
        let mut bytes = Vec::new();
        let most = u64::try_from(MOST_BYTES).unwrap_or(u64::MAX - 1);
        std::io::stdin()
            .lock()
            .take(most + 1)
            .read_to_end(&mut bytes)
            .map_err(|error| Failure::file(Path::new("standard input"), "read", error))?;
        return picture("standard input".into(), bytes);
    }
    file(name)
}

/// What is known by a name, and is no file.
fn named(name: &Path, network: &mut Network<'_>) -> Result<Option<Asked>, Failure> {
    if let Some(made) = made_by_code().iter().find(|made| Path::new(made.name) == name) {
        return Ok(Some(Asked::Made(made)));
    }
    Ok(network.listen(name)?.map(Asked::Network))
}

fn file(path: &Path) -> Result<Asked, Failure> {
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
    /// Bytes that are held for it.
    fn bytes(&self) -> usize {
        match self {
            Self::Made(_) | Self::Network(_) => 0,
            Self::Picture { bytes, .. } => bytes.len(),
        }
    }

    fn open(&self, laying: Laying) -> Result<Box<dyn Source>, Failure> {
        match self {
            Self::Made(made) => Ok(made.source()),
            Self::Network(incoming) => Ok(incoming.source()),
            Self::Picture { shown, bytes } => Picture::open(Arc::clone(bytes))
                .map(|picture| picture.into_source(laying))
                // The error says what to do.
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
            Self::Picture { bytes, .. } => {
                let picture = Picture::open(Arc::clone(bytes))?;
                Ok(picture.into_source(laying))
            }
        })
    }
}
