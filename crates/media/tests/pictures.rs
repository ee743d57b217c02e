//! Against the program ffmpeg itself: its own test pictures, written by it as PNG and as raw frames, and what
//! comes out here, pixel by pixel.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

mod support;

use std::num::{NonZeroU8, NonZeroU32};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use glowloom_media::{Ffmpeg, Film, Input, SampleRate, Samples, Showing, TestPicture};
use glowloom_show::picture::Format;
use glowloom_show::{Averager, Drawn, Layout, LinearFrame, Picture, Raster, Sizing, Source, srgb};
use support::real;

/// Runs the real program.
fn make(folder: &Path, arguments: &str, output: &str) -> PathBuf {
    let made = Command::new("ffmpeg")
        .args(["-nostdin", "-hide_banner", "-loglevel", "error", "-y"])
        .args(arguments.split_whitespace())
        .arg(output)
        .current_dir(folder)
        .stdin(Stdio::null())
        .output()
        .unwrap();
    assert!(made.status.success(), "{}", String::from_utf8_lossy(&made.stderr));
    folder.join(output)
}

fn showing(input: Input, wall: (u32, u32)) -> Showing {
    Showing {
        input,
        from: Duration::ZERO,
        looped: false,
        laying: Sizing::Fill.into(),
        wall,
        tick: Duration::from_millis(1),
    }
}

/// Draws every picture of a film: each when it is due, by the film's own times.
fn drawn(film: &mut Film, wall: (u32, u32), every: Duration, count: u32) -> Vec<Vec<u16>> {
    let mut frame = LinearFrame::new(wall.0, wall.1);
    let start = Instant::now();
    let mut at = Duration::ZERO;
    let mut all = Vec::new();
    while all.len() < count as usize {
        match film.draw(at, &mut frame) {
            Ok(Drawn::New) => {
                all.push(frame.values().to_vec());
                at += every;
            }
            Ok(_) => std::thread::sleep(Duration::from_millis(1)),
            Err(error) => panic!("{error}"),
        }
        assert!(start.elapsed() < Duration::from_secs(60), "{} pictures", all.len());
    }
    all
}

/// Codes of 8-bit sRGB as linear light.
fn linear(codes: &[u8]) -> Vec<u16> {
    codes.iter().map(|code| srgb::linear(*code)).collect()
}

const SIZE: (u32, u32) = (96, 54);

/// Three test pictures, kept without loss as red, green, blue: every picture equals the PNG file and the raw
/// frame that ffmpeg itself makes of it, in every pixel.
#[test]
fn lossless_pictures_are_equal_pixel_by_pixel() {
    let Some(ffmpeg) = real("pictures pixel by pixel") else { return };
    for source in ["testsrc2", "smptebars", "color=color=0x3a7fd5,format=rgb24,drawgrid=w=7:h=5"] {
        let folder = tempfile::tempdir().unwrap();
        let joint = if source.contains('=') { ":" } else { "=" };
        let (name, rest) = source.split_once(',').unwrap_or((source, "null"));
        let input = format!("-f lavfi -i {name}{joint}size=96x54:rate=25,{rest}");
        let rgb = "-frames:v 12 -pix_fmt rgb24";
        let film = make(folder.path(), &format!("{input} {rgb} -c:v ffv1"), "film.mkv");
        let raw = make(folder.path(), &format!("-i film.mkv {rgb} -f rawvideo"), "raw");
        make(folder.path(), &format!("-i film.mkv {rgb}"), "%02d.png");
        let raw = std::fs::read(raw).unwrap();
        let mut ours = Film::start(&ffmpeg, &showing(Input::file(&film), SIZE)).unwrap();
        let ours = drawn(&mut ours, SIZE, Duration::from_millis(40), 12);
        let each = (SIZE.0 * SIZE.1 * 3) as usize;
        for (n, (ours, theirs)) in ours.iter().zip(raw.chunks_exact(each)).enumerate() {
            assert!(*ours == linear(theirs), "{source}: picture {n} and the raw frame");
            let png = std::fs::read(folder.path().join(format!("{:02}.png", n + 1))).unwrap();
            let mut still =
                Picture::open(std::sync::Arc::<[u8]>::from(png)).unwrap().into_source(Sizing::Fill);
            let mut frame = LinearFrame::new(SIZE.0, SIZE.1);
            still.draw(Duration::ZERO, &mut frame).unwrap();
            assert!(ours == frame.values(), "{source}: picture {n} and the PNG");
        }
        assert_ne!(ours[0], vec![ours[0][0]; each], "{source} is more than one plain colour");
    }
}

/// A film as films are, of fewer colours than lights, averaged onto a small wall: the mean of the frames that
/// ffmpeg makes with the same exact conversion.
#[test]
fn films_are_averaged_in_linear_light() {
    let Some(ffmpeg) = real("films averaged") else { return };
    let folder = tempfile::tempdir().unwrap();
    let film = make(
        folder.path(),
        "-f lavfi -i testsrc2=size=640x360:rate=25 -frames:v 6 -c:v mpeg4 -q:v 3 -pix_fmt yuv420p",
        "film.mp4",
    );
    let flags = "-frames:v 6 -sws_flags area+accurate_rnd+full_chroma_int";
    let raw =
        make(folder.path(), &format!("-i film.mp4 {flags} -pix_fmt rgb24 -f rawvideo"), "raw");
    let raw = std::fs::read(raw).unwrap();
    let wall = (60, 32);
    let mut ours = Film::start(&ffmpeg, &showing(Input::file(&film), wall)).unwrap();
    let ours = drawn(&mut ours, wall, Duration::from_millis(40), 6);
    let mut averager = Averager::new();
    for (n, theirs) in raw.chunks_exact(640 * 360 * 3).enumerate() {
        let raster = Raster::new(640, 360, Layout::Rgb, theirs).unwrap();
        let mut wanted = LinearFrame::new(wall.0, wall.1);
        averager.draw(raster, Sizing::Fill, &mut wanted);
        let apart = |(a, b): (&u16, &u16)| a.abs_diff(*b);
        let most = ours[n].iter().zip(wanted.values()).map(apart).max().unwrap();
        assert!(most == 0, "picture {n}: {most} of 65,535 apart");
    }
}

/// A picture whose pixels are not square is laid as it is to be seen: 2 to 1 stored in a square.
#[test]
fn pixels_are_square() {
    let Some(ffmpeg) = real("pixels that are not square") else { return };
    let folder = tempfile::tempdir().unwrap();
    let film = make(
        folder.path(),
        "-f lavfi -i color=white:size=32x32:rate=5 -frames:v 2 -vf setsar=2/1 -c:v ffv1",
        "film.mkv",
    );
    let laid = |sizing: Sizing| {
        let showing = Showing { laying: sizing.into(), ..showing(Input::file(&film), (32, 32)) };
        let mut film = Film::start(&ffmpeg, &showing).unwrap();
        drawn(&mut film, (32, 32), Duration::from_millis(200), 1).remove(0)
    };
    let fit = laid(Sizing::Fit);
    let lit = (0..32).filter(|row| fit[row * 32 * 3] > 60_000).count();
    assert_eq!(lit, 16, "half of the rows are black");
}

/// Large pictures are brought down before they come.
#[test]
fn large_pictures_come_smaller() {
    let Some(ffmpeg) = real("large pictures") else { return };
    let folder = tempfile::tempdir().unwrap();
    let film = make(
        folder.path(),
        "-f lavfi -i color=0x808080:size=3840x2160:rate=5 -frames:v 2 -c:v mpeg4 -q:v 2",
        "film.mp4",
    );
    let mut film = Film::start(&ffmpeg, &showing(Input::file(&film), (8, 4))).unwrap();
    let first = drawn(&mut film, (8, 4), Duration::from_millis(200), 1).remove(0);
    for value in first {
        let code = srgb::code(value);
        assert!((126..=130).contains(&code), "{code}");
    }
}

/// Over and over, with times that go on; from its middle on; once.
#[test]
fn films_go_round() {
    let Some(ffmpeg) = real("films that go round") else { return };
    let folder = tempfile::tempdir().unwrap();
    // Grey rises by 20 from picture to picture, five a second.
    let film = make(
        folder.path(),
        "-f lavfi -i color=black:size=16x16:rate=5,geq=r=20*N:g=20*N:b=20*N -frames:v 5 -pix_fmt rgb24 \
         -c:v ffv1 -g 1",
        "film.mkv",
    );
    let greys = |from, looped, count| {
        let showing = Showing { from, looped, ..showing(Input::file(&film), (1, 1)) };
        let mut film = Film::start(&ffmpeg, &showing).unwrap();
        let all = drawn(&mut film, (1, 1), Duration::from_millis(200), count);
        all.iter().map(|values| srgb::code(values[0])).collect::<Vec<_>>()
    };
    let ms = Duration::from_millis;
    assert_eq!(greys(ms(0), true, 12), [0, 20, 40, 60, 80, 0, 20, 40, 60, 80, 0, 20]);
    assert_eq!(greys(ms(600), true, 5), [60, 80, 60, 80, 60]);
    assert_eq!(greys(ms(400), false, 3), [40, 60, 80]);
}

/// A playlist that comes over the network names a file of this computer: it is not opened.
#[test]
fn a_playlist_of_the_network_cannot_have_files_shown() {
    let Some(ffmpeg) = real("playlists of the network") else { return };
    let folder = tempfile::tempdir().unwrap();
    let film = make(
        folder.path(),
        "-f lavfi -i testsrc2=size=64x64:rate=5 -frames:v 10 -c:v mpeg2video -f mpegts",
        "film.ts",
    );
    let serve = |entry: String| {
        use std::io::{Read, Write};
        let listener = std::net::TcpListener::bind("127.0.0.1:0").unwrap();
        let port = listener.local_addr().unwrap().port();
        let film = std::fs::read(&film).unwrap();
        std::thread::spawn(move || {
            for stream in listener.incoming() {
                let Ok(mut stream) = stream else { return };
                let mut request = [0; 1024];
                let count = stream.read(&mut request).unwrap_or(0);
                let asked = String::from_utf8_lossy(&request[..count]).into_owned();
                let list = format!(
                    "#EXTM3U\n#EXT-X-TARGETDURATION:2\n#EXTINF:2,\n{entry}\n#EXT-X-ENDLIST\n"
                );
                let (kind, body) = match asked.contains("film.ts") {
                    true => ("video/mp2t", film.clone()),
                    false => ("application/vnd.apple.mpegurl", list.into_bytes()),
                };
                let head = format!(
                    "HTTP/1.0 200 OK\r\nContent-Type: {kind}\r\nContent-Length: {}\r\n\r\n",
                    body.len()
                );
                let _ = stream.write_all(head.as_bytes()).and_then(|()| stream.write_all(&body));
            }
        });
        Input::stream(&format!("http://127.0.0.1:{port}/list.m3u8")).unwrap()
    };
    // Without which the rest would prove nothing: the same list with a film of the network is shown.
    let good = Film::start(&ffmpeg, &showing(serve("film.ts".into()), (8, 8))).unwrap();
    assert_eq!(good.first(Duration::from_secs(60)), Ok(()));
    assert!(good.condition().units > 0 || good.condition().trouble.is_none());
    let bad = serve(format!("file://{}", film.display()));
    let bad = Film::start(&ffmpeg, &showing(bad, (8, 8))).unwrap();
    let why = bad.first(Duration::from_secs(60)).unwrap_err();
    assert_eq!(bad.condition().units, 0, "{why}");
}

/// Where there is no device: a test picture of ffmpeg's, live.
#[test]
fn a_test_picture_stands_in_for_a_device() {
    let Some(ffmpeg) = real("a test picture") else { return };
    let input = Input::test_picture(TestPicture::Bars, (64, 36), 25.0);
    let mut film = Film::start(&ffmpeg, &showing(input, (64, 36))).unwrap();
    let all = drawn(&mut film, (64, 36), Duration::from_millis(40), 3);
    // The first of SMPTE's bars is grey, the last of the upper ones blue (SMPTE EG 1, from memory).
    let pixel = |column: usize| {
        let at = (5 * 64 + column) * 3;
        [0, 1, 2].map(|k| srgb::code(all[0][at + k]))
    };
    let [red, green, blue] = pixel(2);
    assert!(red.abs_diff(green) < 6 && green.abs_diff(blue) < 6 && red > 150, "{:?}", pixel(2));
    let [red, green, blue] = pixel(62);
    assert!(red < 40 && green < 40 && blue > 150, "{:?}", pixel(62));
}

/// Sound by the same watch: a tone of 1 kHz has its level, its rate and all of its samples.
#[test]
fn samples_are_those_of_the_tone() {
    let Some(ffmpeg) = real("samples") else { return };
    let folder = tempfile::tempdir().unwrap();
    let tone = make(
        folder.path(),
        "-f lavfi -i sine=frequency=1000:sample_rate=48000:duration=2 -c:a pcm_s16le",
        "tone.wav",
    );
    let rate = SampleRate(NonZeroU32::new(48_000).unwrap());
    let one = NonZeroU8::new(1).unwrap();
    let samples = Samples::start(&ffmpeg, &Input::file(&tone), rate, one, false).unwrap();
    let (start, mut all) = (Instant::now(), Vec::new());
    while all.len() < 96_000 {
        assert_eq!(samples.take(&mut all), 0, "a file loses nothing");
        std::thread::sleep(Duration::from_millis(2));
        assert!(start.elapsed() < Duration::from_secs(60), "{}", all.len());
    }
    assert_eq!(all.len(), 96_000);
    // ffmpeg's tone has an amplitude of 1/8 (its manual); as s16 to within a step.
    let wanted = |n: usize| (n as f64 * std::f64::consts::TAU / 48.0).sin() / 8.0;
    let off = |(n, sample): (usize, &f32)| (f64::from(*sample) - wanted(n)).abs();
    let most = all.iter().enumerate().map(off).fold(0.0, f64::max);
    assert!(most < 2.0 / 32_768.0, "{most}");
}

/// What is killed in the middle with all its strength leaves nothing behind, real or not.
#[cfg(unix)]
#[test]
fn the_real_program_goes_on_after_it_was_killed() {
    let Some(_) = real("a real child that is killed") else { return };
    let folder = tempfile::tempdir().unwrap();
    let film = make(
        folder.path(),
        "-f lavfi -i testsrc2=size=64x36:rate=25 -frames:v 500 -c:v mpeg4",
        "film.mp4",
    );
    let ffmpeg = Ffmpeg::default().with_patience(glowloom_media::Patience {
        pause: Duration::from_millis(5),
        ..glowloom_media::Patience::USUAL
    });
    let mut film = Film::start(&ffmpeg, &showing(Input::file(&film), (8, 8))).unwrap();
    drawn(&mut film, (8, 8), Duration::from_millis(40), 5);
    let first = film.condition().process.unwrap();
    assert!(Command::new("kill").args(["-9", &first.to_string()]).status().unwrap().success());
    let mut frame = LinearFrame::new(8, 8);
    let (start, mut at, mut new) = (Instant::now(), Duration::from_millis(200), 0);
    while new < 30 {
        assert!(start.elapsed() < Duration::from_secs(60));
        // While another is started, that is told, and the last picture stays.
        if matches!(film.draw(at, &mut frame), Ok(Drawn::New)) {
            new += 1;
            at += Duration::from_millis(40);
        } else {
            std::thread::sleep(Duration::from_millis(1));
        }
    }
    let condition = film.condition();
    assert_eq!((condition.started, condition.trouble), (2, None));
    assert!(!support::is_there(first));
}

#[test]
fn our_own_decoders_know_other_files() {
    assert!(Format::of(&support::head(2, 1)).is_none());
}
