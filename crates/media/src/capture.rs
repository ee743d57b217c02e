//! Screens, windows and cameras of each system, as arguments for ffmpeg. These are functions of values: what
//! one system would be told is tested on any other.

use std::ffi::OsString;

use crate::input::{Input, InputError};

/// Whose devices they are.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Platform {
    /// X11, and video4linux.
    Linux {
        /// The display, such as `:0`, where there is one.
        display: Option<String>,
    },
    /// AVFoundation.
    MacOs,
    /// GDI, and DirectShow.
    Windows,
}

/// What is seen on a screen.
#[derive(Clone, Debug, PartialEq)]
pub struct Screen {
    /// The display of X11, or the number of the screen on macOS; the first one if it is not said.
    pub name: Option<String>,
    /// A part of it: from which pixel on, across and down.
    pub at: (u32, u32),
    /// Pixels across and down; all of it if it is not said.
    pub size: Option<(u32, u32)>,
    /// Pictures a second.
    pub rate: f64,
    /// Whether the pointer is shown.
    pub pointer: bool,
}

/// What is seen of a window.
#[derive(Clone, Debug, PartialEq)]
pub struct Window {
    /// Its number on X11, its title on Windows.
    pub name: String,
    /// Pictures a second.
    pub rate: f64,
    /// Whether the pointer is shown.
    pub pointer: bool,
}

/// What a camera sees.
#[derive(Clone, Debug, PartialEq)]
pub struct Camera {
    /// Its name on this system; the first one if it is not said.
    pub name: Option<String>,
    /// Pixels across and down; the camera's own if it is not said.
    pub size: Option<(u32, u32)>,
    /// Pictures a second; the camera's own if it is not said.
    pub rate: Option<f64>,
}

/// What a microphone, or another input of sound, hears.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Microphone {
    /// Its name on this system; the usual one if it is not said.
    pub name: Option<String>,
}

impl Platform {
    /// The one that this program runs on.
    #[must_use]
    pub fn here() -> Self {
        if cfg!(target_os = "macos") {
            Self::MacOs
        } else if cfg!(windows) {
            Self::Windows
        } else {
            Self::Linux { display: std::env::var("DISPLAY").ok().filter(|name| !name.is_empty()) }
        }
    }
}

impl Screen {
    /// The input of it.
    ///
    /// # Errors
    /// Where this system does not show it.
    pub fn input(&self, platform: &Platform) -> Result<Input, InputError> {
        let rate = self.rate.to_string();
        let pointer = if self.pointer { "1" } else { "0" };
        let (x, y) = (self.at.0.to_string(), self.at.1.to_string());
        let size = self.size.map(|(width, height)| format!("{width}x{height}"));
        let size = |name| size.as_deref().map_or_else(Vec::new, |size| vec![name, size]);
        if self.size.is_none() && self.at != (0, 0) {
            return Err(InputError::new(
                "a part of the screen has a size too: write size=, such as size=640x360",
            ));
        }
        let arguments = match platform {
            Platform::Linux { display } => {
                let display = self.name.as_deref().or(display.as_deref()).ok_or_else(|| {
                    InputError::new(
                        "there is no X11 display to show, for DISPLAY is not set; in a Wayland session \
                         without it, ffmpeg sees no screen: log in to an X11 session, or share the screen \
                         as a stream",
                    )
                })?;
                let ahead = ["-f", "x11grab", "-framerate", &rate, "-draw_mouse", pointer];
                let place = ["-grab_x", &x, "-grab_y", &y, "-i", display];
                [&ahead[..], &size("-video_size"), &place].concat().iter().map(Into::into).collect()
            }
            Platform::MacOs => {
                let number = self.name.as_deref().unwrap_or("0");
                let screen = format!("Capture screen {number}:none");
                let ahead = ["-f", "avfoundation", "-framerate", &rate, "-capture_cursor", pointer];
                // It captures whole screens only.
                let part =
                    self.size.map(|(width, height)| format!("crop={width}:{height}:{x}:{y}"));
                let arguments = words(&[&ahead[..], &["-i", &screen]].concat());
                return Ok(Input::device(arguments, "the screen").with_filter(part));
            }
            Platform::Windows => {
                let ahead = ["-f", "gdigrab", "-framerate", &rate, "-draw_mouse", pointer];
                let place: &[&str] =
                    if self.size.is_some() { &["-offset_x", &x, "-offset_y", &y] } else { &[] };
                words(&[&ahead[..], place, &size("-video_size"), &["-i", "desktop"]].concat())
            }
        };
        Ok(Input::device(arguments, "the screen"))
    }
}

impl Window {
    /// The input of it.
    ///
    /// # Errors
    /// Where this system cannot show one window.
    pub fn input(&self, platform: &Platform) -> Result<Input, InputError> {
        let rate = self.rate.to_string();
        let pointer = if self.pointer { "1" } else { "0" };
        let arguments = match platform {
            Platform::Linux { display } => {
                let digits = self.name.trim_start_matches("0x");
                let number = match self.name.starts_with("0x") {
                    true => u32::from_str_radix(digits, 16).ok(),
                    false => self.name.parse().ok(),
                };
                let number = number.ok_or_else(|| {
                    InputError::new(format!(
                        "{:?} is no number of a window; xwininfo tells it, such as window:0x1e00007",
                        self.name
                    ))
                })?;
                let display = display.as_deref().unwrap_or(":0");
                let (number, x11) = (number.to_string(), ["-f", "x11grab", "-framerate", &rate]);
                let rest = ["-draw_mouse", pointer, "-window_id", &number, "-i", display];
                words(&[&x11[..], &rest].concat())
            }
            Platform::Windows => {
                let title = format!("title={}", self.name);
                words(&["-f", "gdigrab", "-framerate", &rate, "-draw_mouse", pointer, "-i", &title])
            }
            Platform::MacOs => {
                return Err(InputError::new(
                    "macOS shows ffmpeg whole screens only: write screen with at= and size= for a part of it",
                ));
            }
        };
        Ok(Input::device(arguments, &format!("the window {}", self.name)))
    }
}

impl Camera {
    /// The input of it.
    ///
    /// # Errors
    /// Where its name has to be said.
    pub fn input(&self, platform: &Platform) -> Result<Input, InputError> {
        let rate = self.rate.map(|rate| rate.to_string());
        let size = self.size.map(|(width, height)| format!("{width}x{height}"));
        let mut ahead = Vec::new();
        if let Some(rate) = &rate {
            ahead.extend(["-framerate", rate]);
        }
        if let Some(size) = &size {
            ahead.extend(["-video_size", size]);
        }
        let (format, name) = match platform {
            Platform::Linux { .. } => {
                ("v4l2", self.name.clone().unwrap_or_else(|| "/dev/video0".into()))
            }
            Platform::MacOs => {
                ("avfoundation", format!("{}:none", self.name.as_deref().unwrap_or("0")))
            }
            Platform::Windows => {
                let name = self.name.as_deref().ok_or_else(|| {
                    InputError::new(
                        "Windows knows cameras by their names only: write camera,device=NAME; ffmpeg \
                         -list_devices true -f dshow -i dummy lists them",
                    )
                })?;
                ("dshow", format!("video={name}"))
            }
        };
        let arguments = words(&[&["-f", format][..], &ahead, &["-i", &name]].concat());
        Ok(Input::device(arguments, "the camera"))
    }
}

impl Microphone {
    /// The input of it: PulseAudio's on Linux (or what speaks for it), for names of ALSA such as `hw:1` ALSA's.
    ///
    /// # Errors
    /// Where its name has to be said.
    pub fn input(&self, platform: &Platform) -> Result<Input, InputError> {
        let name = self.name.as_deref();
        let alsa = |name: &str| name.starts_with("hw:") || name.starts_with("plughw:");
        let (format, name) = match platform {
            Platform::Linux { .. } if name.is_some_and(alsa) => {
                ("alsa", name.unwrap_or_default().to_owned())
            }
            Platform::Linux { .. } => ("pulse", name.unwrap_or("default").to_owned()),
            Platform::MacOs => ("avfoundation", format!("none:{}", name.unwrap_or("default"))),
            Platform::Windows => {
                let name = name.ok_or_else(|| {
                    InputError::new(
                        "Windows knows inputs of sound by their names only; ffmpeg -list_devices true -f \
                         dshow -i dummy lists them",
                    )
                })?;
                ("dshow", format!("audio={name}"))
            }
        };
        Ok(Input::device(words(&["-f", format, "-i", &name]), "the microphone"))
    }
}

fn words(words: &[&str]) -> Vec<OsString> {
    words.iter().map(Into::into).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::time::Duration;

    const MAC: Platform = Platform::MacOs;
    const WINDOWS: Platform = Platform::Windows;

    fn x11() -> Platform {
        Platform::Linux { display: Some(":7".into()) }
    }

    fn line(input: Result<Input, InputError>) -> String {
        let arguments = input.unwrap().arguments(Duration::ZERO, true);
        let words: Vec<_> = arguments.iter().map(|word| word.to_string_lossy()).collect();
        words.join(" ").replace("-nostdin -hide_banner -nostats -loglevel error ", "")
    }

    const WHOLE: Screen = Screen { name: None, at: (0, 0), size: None, rate: 25.0, pointer: true };

    #[test]
    fn screens() {
        assert_eq!(
            line(WHOLE.input(&x11())),
            "-f x11grab -framerate 25 -draw_mouse 1 -grab_x 0 -grab_y 0 -i :7"
        );
        let part = Screen {
            name: Some("2".into()),
            at: (10, 20),
            size: Some((640, 360)),
            pointer: false,
            ..WHOLE
        };
        assert_eq!(
            line(part.input(&x11())),
            "-f x11grab -framerate 25 -draw_mouse 0 -video_size 640x360 -grab_x 10 -grab_y 20 -i 2"
        );
        assert_eq!(
            line(part.input(&MAC)),
            "-f avfoundation -framerate 25 -capture_cursor 0 -i Capture screen 2:none"
        );
        assert_eq!(part.input(&MAC).unwrap().filter(), Some("crop=640:360:10:20"));
        assert_eq!(
            line(part.input(&WINDOWS)),
            "-f gdigrab -framerate 25 -draw_mouse 0 -offset_x 10 -offset_y 20 -video_size 640x360 \
             -i desktop"
        );
        assert_eq!(
            line(WHOLE.input(&WINDOWS)),
            "-f gdigrab -framerate 25 -draw_mouse 1 -i desktop"
        );
        let nowhere = WHOLE.input(&Platform::Linux { display: None }).unwrap_err();
        assert!(nowhere.to_string().contains("Wayland"));
        assert!(Screen { at: (1, 0), ..WHOLE }.input(&x11()).is_err());
    }

    #[test]
    fn windows() {
        let window = |name: &str| Window { name: name.into(), rate: 30.0, pointer: true };
        assert_eq!(
            line(window("0x1e00007").input(&x11())),
            "-f x11grab -framerate 30 -draw_mouse 1 -window_id 31457287 -i :7"
        );
        assert_eq!(
            line(window("Tide tables").input(&WINDOWS)),
            "-f gdigrab -framerate 30 -draw_mouse 1 -i title=Tide tables"
        );
        assert!(window("0xq").input(&x11()).is_err());
        assert!(window("7").input(&MAC).is_err());
    }

    #[test]
    fn microphones() {
        let named = |name: Option<&str>| Microphone { name: name.map(Into::into) };
        assert_eq!(line(named(None).input(&x11())), "-f pulse -i default");
        assert_eq!(line(named(Some("hw:1")).input(&x11())), "-f alsa -i hw:1");
        assert_eq!(line(named(None).input(&MAC)), "-f avfoundation -i none:default");
        assert_eq!(line(named(Some("Quay")).input(&WINDOWS)), "-f dshow -i audio=Quay");
        assert!(named(None).input(&WINDOWS).is_err());
    }

    #[test]
    fn cameras() {
        let plain = Camera { name: None, size: None, rate: None };
        let chosen =
            Camera { name: Some("Quay".into()), size: Some((1280, 720)), rate: Some(29.97) };
        assert_eq!(line(plain.input(&x11())), "-f v4l2 -i /dev/video0");
        assert_eq!(
            line(chosen.input(&x11())),
            "-f v4l2 -framerate 29.97 -video_size 1280x720 -i Quay"
        );
        assert_eq!(line(plain.input(&MAC)), "-f avfoundation -i 0:none");
        assert_eq!(
            line(chosen.input(&WINDOWS)),
            "-f dshow -framerate 29.97 -video_size 1280x720 -i video=Quay"
        );
        assert!(plain.input(&WINDOWS).unwrap_err().to_string().contains("device=NAME"));
    }
}
