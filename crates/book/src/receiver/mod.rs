//! The receiver project: the same program for every board of a wall, ready to build.
//!
//! The sources are those of `receiver/`, byte for byte; what is of this wall are the settings, the key and the
//! words. Whoever holds the key tells the boards what to do: it is written where it is asked for, never into a
//! book.

mod sources;
mod words;

use std::fmt::Write;

use glowloom_design::Wall;
use glowloom_design::wall::Link;
use glowloom_plan::assignment;
use glowloom_wire::Patch;

use crate::document::Document;

/// Fewest pixels that a board has memory for: its code before it is assigned.
const LEAST_PIXELS: usize = 64;

/// What a project is made for.
#[derive(Clone, Copy)]
pub struct Project<'p> {
    /// The checked wall.
    pub wall: &'p Wall,
    /// Its patch.
    pub patch: &'p Patch,
    /// The wall's key; without one the project says where to get it, and does not build.
    pub key: Option<&'p [u8; 32]>,
}

/// Every file of the project, below a folder: `""`, or one that ends in `/`.
#[must_use]
pub fn documents<'p>(project: Project<'p>, folder: &str) -> Vec<Document<'p>> {
    let at = |path: &str| format!("{folder}{path}");
    let text = |path: &str, text: String| {
        Document::new(at(path), move |out| out.write_all(text.as_bytes()))
    };
    let mut all = vec![
        text("README.md", words::readme(project)),
        text("CMakeLists.txt", cmake(project.wall)),
        text("main/CMakeLists.txt", main_cmake(project.wall)),
        text("main/settings.hpp", settings(project)),
        text("main/key.hpp", key(project.key)).secret(),
        text("sdkconfig.defaults", sdkconfig(project.wall)),
        text("partitions.csv", PARTITIONS.into()),
        text(".gitignore", "# The wall's key: whoever has it can tell the boards what to do.\nmain/key.hpp\nbuild/\nsdkconfig\n".into()),
    ];
    for (path, bytes) in sources::ALL {
        all.push(Document::new(at(path), move |out| out.write_all(bytes)));
    }
    all
}

/// Whether the wall's board is made by another kit than the others.
fn is_esp8266(wall: &Wall) -> bool {
    wall.receiver.board == "esp8266"
}

fn is_wired(wall: &Wall) -> bool {
    wall.receiver.board == "esp32-ethernet" && wall.receiver.link == Link::Ethernet
}

/// Pixels that the program has memory for: those of the largest panel, on USB of the whole wall.
fn most_pixels(project: Project<'_>) -> usize {
    let pixels = project.patch.panels().iter().map(glowloom_wire::patch::PanelPatch::pixels);
    let most = if project.wall.receiver.link == Link::Usb {
        pixels.sum()
    } else {
        pixels.max().unwrap_or(0)
    };
    most.max(LEAST_PIXELS)
}

fn cmake(wall: &Wall) -> String {
    let kit = if is_esp8266(wall) { "ESP8266_RTOS_SDK" } else { "ESP-IDF" };
    format!(
        "# Built by the chip maker's kit, {kit}: idf.py build\ncmake_minimum_required(VERSION 3.16)\n\
         include($ENV{{IDF_PATH}}/tools/cmake/project.cmake)\nproject(glowloom)\n"
    )
}

fn main_cmake(wall: &Wall) -> String {
    let mut text = String::from("idf_component_register(SRCS\n");
    for (path, _) in sources::ALL.iter().filter(|(path, _)| path.ends_with(".cpp")) {
        // Writing to a text does not fail.
        let _ = writeln!(text, "    \"../{path}\"");
    }
    text.push_str("    INCLUDE_DIRS \".\")\n");
    let board = if is_esp8266(wall) { "GLOWLOOM_ESP8266" } else { "GLOWLOOM_ESP32" };
    let wired = if is_wired(wall) { " GLOWLOOM_ETHERNET" } else { "" };
    let _ = writeln!(text, "target_compile_definitions(${{COMPONENT_LIB}} PRIVATE {board}{wired})");
    text.push_str(
        "target_compile_options(${COMPONENT_LIB} PRIVATE -std=c++17 -fno-exceptions -fno-rtti -Wno-missing-field-initializers)\n",
    );
    text
}

/// A text as C++ reads it.
fn quoted(text: &str) -> String {
    let mut out = String::from("\"");
    for byte in text.bytes() {
        match byte {
            b'"' | b'\\' | 0..0x20 | 0x7f.. => {
                // Three octal digits, so that no figure after them is taken for one.
                let _ = write!(out, "\\{byte:03o}");
            }
            _ => out.push(byte.into()),
        }
    }
    out.push('"');
    out
}

fn settings(project: Project<'_>) -> String {
    let wall = project.wall;
    // What is told to any board holds for all: the strip is one for the wall.
    let strip = assignment::assignment(wall, project.patch, 0);
    let (bit_ns, reset_us, order) = strip.map_or((1250, 300, 0x48), |told| {
        let order =
            told.order.iter().zip([6, 4, 2, 0]).fold(0, |all, (at, shift)| all | (at << shift));
        (told.bit_ns, told.reset_us, order)
    });
    let shape = if assignment::short_one(wall) { "ShortOne" } else { "LongOne" };
    let clocked = assignment::clocked(wall);
    let channels = wall.strip.channels();
    let pins = if is_esp8266(wall) { 1 } else { 8 };
    // On the wired board the network takes 0, 18, 19, 21, 22, 23, 25, 26, 27.
    let (data, clocks, idle) = if is_wired(wall) {
        ("4, 5, 12, 13, 14, 15, 16, 32", "33, 2", "17, 2")
    } else {
        ("16, 4, 5, 18, 19, 21, 22, 23", "17, 2", "32, 33")
    };
    format!(
        "// Settings of this wall, written by `glowloom receiver`: the same for all of its boards.\n\
         #ifndef GLOWLOOM_SETTINGS_HPP\n#define GLOWLOOM_SETTINGS_HPP\n\n#include \"../core/encode.hpp\"\n\n\
         namespace settings {{\n\n\
         constexpr char WALL[] = {name};\nconstexpr char VERSION[] = \"{version}\";\n\
         constexpr char BOARD[] = {board};\n\
         constexpr size_t MOST_PIXELS = {most};\n\
         constexpr glowloom::Strip STRIP = {{glowloom::Shape::{shape}, {bit_ns}, {reset_us}, {clocked}, {channels}, {order:#04x}}};\n\
         constexpr int BAUD = {baud};\n\
         // Pins of the data lines in order, of the clocks of two-wire strips, and two that the bus of eight needs and\n\
         // nothing is soldered to. The ESP8266 has one data line, on GPIO2.\n\
         constexpr int DATA_PINS[8] = {{{data}}};\nconstexpr int CLOCK_PINS[2] = {{{clocks}}};\n\
         constexpr int BUS_IDLE_PINS[2] = {{{idle}}};\nconstexpr uint8_t PINS = {pins};\n\
         constexpr int PHY_ADDRESS = 0, PHY_RESET_PIN = -1;\n\n}}  // namespace settings\n\n#endif\n",
        name = quoted(&wall.name),
        version = env!("CARGO_PKG_VERSION"),
        board = quoted(&wall.receiver.board),
        most = most_pixels(project),
        baud = wall.receiver.baud,
    )
}

fn key(key: Option<&[u8; 32]>) -> String {
    let Some(key) = key else {
        return "#error \"This copy has no key. Write the project with one: glowloom receiver WALL -o DIR\"\n".into();
    };
    let mut bytes = String::new();
    for (at, byte) in key.iter().enumerate() {
        let _ = write!(bytes, "{}{byte:#04x},", if at % 8 == 0 { "\n    " } else { " " });
    }
    format!(
        "// The key of this wall. Whoever has it can tell the boards what to do: do not hand it on.\n\
         #ifndef GLOWLOOM_KEY_HPP\n#define GLOWLOOM_KEY_HPP\n\n#include <stdint.h>\n\nnamespace key {{\n\n\
         constexpr uint8_t KEY[32] = {{{bytes}\n}};\n\n}}  // namespace key\n\n#endif\n"
    )
}

/// Two places for the program, so that a new one is tried beside the old; two sectors for the identity.
const PARTITIONS: &str = "# name, type, subtype, offset, size\nnvs, data, nvs, 0x9000, 0x4000\notadata, data, ota, 0xd000, 0x2000\n\
phy_init, data, phy, 0xf000, 0x1000\nota_0, app, ota_0, 0x10000, 0x180000\nota_1, app, ota_1, 0x190000, 0x180000\n\
identity, data, 0x40, 0x310000, 0x2000\n";

fn sdkconfig(wall: &Wall) -> String {
    let mut text = String::from(
        "CONFIG_PARTITION_TABLE_CUSTOM=y\nCONFIG_PARTITION_TABLE_CUSTOM_FILENAME=\"partitions.csv\"\n\
         CONFIG_ESPTOOLPY_FLASHSIZE_4MB=y\nCONFIG_FREERTOS_HZ=1000\n\
         # The serial line carries light and orders: nothing else is printed on it.\n\
         CONFIG_LOG_DEFAULT_LEVEL_NONE=y\nCONFIG_BOOTLOADER_LOG_LEVEL_NONE=y\n",
    );
    if !is_esp8266(wall) {
        text.push_str(
            "CONFIG_BOOTLOADER_APP_ROLLBACK_ENABLE=y\nCONFIG_ESP_TASK_WDT_PANIC=y\nCONFIG_ESP_BROWNOUT_DET=y\n",
        );
    }
    text
}

#[cfg(test)]
mod tests;
