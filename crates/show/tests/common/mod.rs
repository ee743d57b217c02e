//! Pictures that the tests make for themselves.

#![allow(clippy::unwrap_used, reason = "what fails here fails the test")]
#![allow(dead_code, reason = "each test file takes what it needs")]

use std::borrow::Cow;
use std::time::Duration;

use glowloom_show::picture::Picture;
use glowloom_show::{Drawn, LinearFrame, Sizing, Source};

pub type Rgba = [u8; 4];

pub const RED: Rgba = [255, 0, 0, 255];
pub const GREEN: Rgba = [0, 255, 0, 255];
pub const BLUE: Rgba = [0, 0, 255, 255];
pub const WHITE: Rgba = [255; 4];
pub const NONE: Rgba = [0; 4];

/// What a source shows at a time, on a wall with one pixel to a picture pixel; black where the
/// picture is transparent.
pub fn seen(source: &mut dyn Source, ms: u64, (columns, rows): (u32, u32)) -> Vec<[u8; 3]> {
    let mut frame = LinearFrame::new(columns, rows);
    assert_eq!(source.draw(Duration::from_millis(ms), &mut frame), Ok(Drawn::New));
    frame.to_rgb8().as_chunks::<3>().0.to_vec()
}

/// A picture file's content at a time, on a wall of its own size.
pub fn shown(file: &[u8], ms: u64) -> Vec<[u8; 3]> {
    let picture = Picture::open(file).unwrap();
    let size = picture.size();
    seen(&mut *picture.into_source(Sizing::Stretch), ms, size)
}

/// The colours without their transparency, black for none.
pub fn solid(pixels: &[Rgba]) -> Vec<[u8; 3]> {
    pixels.iter().map(|&[r, g, b, a]| if a == 0 { [0; 3] } else { [r, g, b] }).collect()
}

/// A frame of an animation: its place, its pixels, how long it is shown.
#[derive(Clone)]
pub struct Frame {
    pub left: u32,
    pub top: u32,
    pub width: u32,
    pub height: u32,
    pub pixels: Vec<Rgba>,
    pub ms: u16,
    pub dispose: Dispose,
    pub over: bool,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Dispose {
    Keep,
    Clear,
    Restore,
}

impl Frame {
    /// One row of pixels, left in place, laid over what is there.
    pub fn row(left: u32, pixels: &[Rgba], ms: u16) -> Self {
        Self {
            left,
            top: 0,
            width: pixels.len() as u32,
            height: 1,
            pixels: pixels.to_vec(),
            ms,
            dispose: Dispose::Keep,
            over: true,
        }
    }

    pub fn dispose(mut self, dispose: Dispose) -> Self {
        self.dispose = dispose;
        self
    }

    pub fn replace(mut self) -> Self {
        self.over = false;
        self
    }
}

/// A GIF; `repeats` as its extension says, `None` for no extension. Times are whole hundredths.
pub fn gif(size: (u16, u16), repeats: Option<u16>, frames: &[Frame]) -> Vec<u8> {
    const COLOURS: [Rgba; 5] = [RED, GREEN, BLUE, WHITE, NONE];
    let palette: Vec<u8> = COLOURS.iter().flat_map(|c| [c[0], c[1], c[2]]).collect();
    let mut encoder = gif::Encoder::new(Vec::new(), size.0, size.1, &palette).unwrap();
    if let Some(repeats) = repeats {
        let repeat =
            if repeats == 0 { gif::Repeat::Infinite } else { gif::Repeat::Finite(repeats) };
        encoder.set_repeat(repeat).unwrap();
    }
    for frame in frames {
        let number = |pixel| COLOURS.iter().position(|colour| *colour == pixel).unwrap() as u8;
        let buffer: Vec<u8> = frame.pixels.iter().map(|&pixel| number(pixel)).collect();
        encoder
            .write_frame(&gif::Frame {
                delay: frame.ms / 10,
                dispose: match frame.dispose {
                    Dispose::Keep => gif::DisposalMethod::Keep,
                    Dispose::Clear => gif::DisposalMethod::Background,
                    Dispose::Restore => gif::DisposalMethod::Previous,
                },
                transparent: Some(4),
                left: frame.left as u16,
                top: frame.top as u16,
                width: frame.width as u16,
                height: frame.height as u16,
                buffer: Cow::Owned(buffer),
                ..gif::Frame::default()
            })
            .unwrap();
    }
    encoder.into_inner().unwrap()
}

/// A PNG of any colour type.
pub fn png(
    size: (u32, u32),
    colour: png::ColorType,
    depth: png::BitDepth,
    palette: Option<(&[u8], &[u8])>,
    data: &[u8],
) -> Vec<u8> {
    let mut file = Vec::new();
    let mut encoder = png::Encoder::new(&mut file, size.0, size.1);
    encoder.set_color(colour);
    encoder.set_depth(depth);
    if let Some((colours, transparency)) = palette {
        if !colours.is_empty() {
            encoder.set_palette(colours.to_vec());
        }
        if !transparency.is_empty() {
            encoder.set_trns(transparency.to_vec());
        }
    }
    let mut writer = encoder.write_header().unwrap();
    writer.write_image_data(data).unwrap();
    writer.finish().unwrap();
    file
}

/// An APNG of RGBA frames; the first must cover the whole canvas. 0 plays are for ever.
pub fn apng(size: (u32, u32), plays: u32, frames: &[Frame]) -> Vec<u8> {
    let mut file = Vec::new();
    let mut encoder = png::Encoder::new(&mut file, size.0, size.1);
    encoder.set_color(png::ColorType::Rgba);
    encoder.set_depth(png::BitDepth::Eight);
    encoder.set_animated(frames.len() as u32, plays).unwrap();
    let mut writer = encoder.write_header().unwrap();
    for frame in frames {
        writer.set_frame_dimension(frame.width, frame.height).unwrap();
        writer.set_frame_position(frame.left, frame.top).unwrap();
        writer.set_frame_delay(frame.ms, 1000).unwrap();
        writer
            .set_dispose_op(match frame.dispose {
                Dispose::Keep => png::DisposeOp::None,
                Dispose::Clear => png::DisposeOp::Background,
                Dispose::Restore => png::DisposeOp::Previous,
            })
            .unwrap();
        writer
            .set_blend_op(if frame.over { png::BlendOp::Over } else { png::BlendOp::Source })
            .unwrap();
        writer.write_image_data(frame.pixels.as_flattened()).unwrap();
    }
    writer.finish().unwrap();
    file
}

/// A PNG of chunks as they are given, with the checksums that belong to them.
pub fn raw_png(chunks: &[(&[u8; 4], Vec<u8>)]) -> Vec<u8> {
    let mut file = b"\x89PNG\r\n\x1a\n".to_vec();
    for (name, content) in chunks {
        let named = [&name[..], content].concat();
        file.extend((content.len() as u32).to_be_bytes());
        file.extend(&named);
        // CRC-32, bit by bit.
        let crc = named.iter().fold(!0u32, |crc, &byte| {
            (0..8).fold(crc ^ u32::from(byte), |c, _| {
                (c >> 1) ^ (0xEDB8_8320 & (c & 1).wrapping_neg())
            })
        });
        file.extend((!crc).to_be_bytes());
    }
    file
}

/// `IHDR` of 8-bit samples.
pub fn ihdr((width, height): (u32, u32), colour: png::ColorType, interlaced: bool) -> Vec<u8> {
    let [w, h] = [width, height].map(u32::to_be_bytes);
    [&w[..], &h, &[8, colour as u8, 0, 0, u8::from(interlaced)]].concat()
}

/// `fcTL` of a frame shown for a tenth of a second.
pub fn fctl(number: u32, (left, top): (u32, u32), (width, height): (u32, u32)) -> Vec<u8> {
    let mut content: Vec<u8> =
        [number, width, height, left, top].into_iter().flat_map(u32::to_be_bytes).collect();
    content.extend([0, 1, 0, 10, 0, 0]);
    content
}

/// Bytes as a zlib stream that does not compress them.
pub fn zlib(bytes: &[u8]) -> Vec<u8> {
    let length = bytes.len() as u16;
    let (a, b) = bytes.iter().fold((1u32, 0u32), |(a, b), &byte| {
        let a = (a + u32::from(byte)) % 65_521;
        (a, (a + b) % 65_521)
    });
    let mut stream = vec![0x78, 0x01, 0x01];
    stream.extend(length.to_le_bytes());
    stream.extend((!length).to_le_bytes());
    stream.extend(bytes);
    stream.extend((b << 16 | a).to_be_bytes());
    stream
}

/// A chunk of a RIFF file.
pub fn chunk(name: &[u8; 4], content: &[u8]) -> Vec<u8> {
    let mut chunk = name.to_vec();
    chunk.extend((content.len() as u32).to_le_bytes());
    chunk.extend(content);
    chunk.resize(chunk.len() + content.len() % 2, 0);
    chunk
}

/// A lossless WebP of one picture.
pub fn webp(size: (u32, u32), pixels: &[Rgba]) -> Vec<u8> {
    let mut file = Vec::new();
    image_webp::WebPEncoder::new(&mut file)
        .encode(pixels.as_flattened(), size.0, size.1, image_webp::ColorType::Rgba8)
        .unwrap();
    file
}

fn u24(value: u32) -> [u8; 3] {
    let [a, b, c, _] = value.to_le_bytes();
    [a, b, c]
}

/// An animated WebP of lossless frames, whose places must be even. 0 plays are for ever.
pub fn animated_webp(size: (u32, u32), plays: u16, frames: &[Frame]) -> Vec<u8> {
    let header = [&[0b1_0010, 0, 0, 0][..], &u24(size.0 - 1), &u24(size.1 - 1)].concat();
    let mut body = [b"WEBP".to_vec(), chunk(b"VP8X", &header)].concat();
    // A background colour that must not be seen: it is only a hint.
    body.extend(chunk(b"ANIM", &[&[9, 9, 9, 255][..], &plays.to_le_bytes()].concat()));
    for frame in frames {
        let flags = u8::from(!frame.over) << 1 | u8::from(frame.dispose == Dispose::Clear);
        let mut content = [
            u24(frame.left / 2),
            u24(frame.top / 2),
            u24(frame.width - 1),
            u24(frame.height - 1),
            u24(u32::from(frame.ms)),
        ]
        .concat();
        content.push(flags);
        content.extend(&webp((frame.width, frame.height), &frame.pixels)[12..]);
        body.extend(chunk(b"ANMF", &content));
    }
    chunk(b"RIFF", &body)
}

/// A JPEG with an Exif block that gives an orientation, put behind its first marker.
pub fn turned(jpeg: &[u8], orientation: u8) -> Vec<u8> {
    let mut block = b"Exif\0\0MM\0\x2a\0\0\0\x08\0\x01\x01\x12\0\x03\0\0\0\x01\0".to_vec();
    block.extend([orientation, 0, 0, 0, 0, 0, 0]);
    let length = (block.len() as u16 + 2).to_be_bytes();
    [&jpeg[..2], &[0xFF, 0xE1], &length, &block, &jpeg[2..]].concat()
}

/// The pictures of `tests/pictures`.
pub const JPEG: &[u8] = include_bytes!("../pictures/two-halves.jpg");
pub const JPEG_PROGRESSIVE: &[u8] = include_bytes!("../pictures/two-halves-progressive.jpg");
pub const JPEG_CMYK: &[u8] = include_bytes!("../pictures/two-halves-cmyk.jpg");
pub const JPEG_GREY: &[u8] = include_bytes!("../pictures/two-halves-grey.jpg");
pub const WEBP_LOSSY: &[u8] = include_bytes!("../pictures/two-halves-lossy.webp");
pub const WEBP_ALPHA: &[u8] = include_bytes!("../pictures/left-half-lossy.webp");
pub const WEBP_MOVING: &[u8] = include_bytes!("../pictures/moving-lossy.webp");
