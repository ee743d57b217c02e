//! Rates and sums against data sheets, protocol arithmetic and sums worked by hand.

mod support;

use glowloom_plan::data::{Bottleneck, reached};
use glowloom_plan::signal::{bits, frame_seconds};
use glowloom_plan::{Plan, plan};
use glowloom_units::Hertz;

fn close(found: f64, wanted: f64) {
    assert!((found - wanted).abs() <= 1e-9 * wanted.abs(), "{found}, not {wanted}");
}

fn plan_of(text: &str) -> Plan {
    plan(&support::read(text))
}

/// n x bits x bit time + reset, worked out beforehand for the times of the data sheets: WS2812B first
/// edition (50 us) and as quoted from 2020 on (280 us), WS2813 (300 us), SK6812 RGBW (80 us,
/// secondary), WS2811 at low speed (2.5 us, secondary).
#[test]
fn frame_times_of_one_wire_strips() {
    const FPS: [(u32, [f64; 5]); 10] = [
        (16, [1886.8, 1315.8, 1282.1, 1388.9, 990.1]),
        (64, [507.6, 454.5, 450.5, 378.8, 257.1]),
        (128, [257.1, 242.7, 241.5, 192.3, 129.4]),
        (150, [219.8, 209.2, 208.3, 164.5, 110.5]),
        (170, [194.2, 185.9, 185.2, 145.3, 97.6]),
        (256, [129.4, 125.6, 125.3, 96.9, 64.9]),
        (300, [110.5, 107.8, 107.5, 82.8, 55.4]),
        (512, [64.9, 63.9, 63.9, 48.6, 32.5]),
        (640, [51.9, 51.3, 51.3, 38.9, 26.0]),
        (1024, [32.5, 32.3, 32.2, 24.4, 16.3]),
    ];
    const TIMES: [(&str, f64, f64); 5] = [
        ("ws2812b-30", 1.25e-6, 50e-6),
        ("ws2812b-30", 1.25e-6, 280e-6),
        ("ws2812b-30", 1.25e-6, 300e-6),
        ("sk6812-rgbw-30", 1.25e-6, 80e-6),
        ("ws2812b-30", 2.5e-6, 50e-6),
    ];
    for (i, (part, bit, reset)) in TIMES.into_iter().enumerate() {
        let part = format!("{part}\"\nbit_seconds = {bit:e}\nreset_seconds = {reset:e} #");
        let wall = support::read(&support::one(1, 1, &part, "", ""));
        for (pixels, fps) in FPS {
            let found = frame_seconds(&wall.strip, pixels).rate().0;
            let rounded = (found * 10.0).round() / 10.0;
            assert_eq!(rounded, fps[i], "{pixels} pixels, {bit} s a bit, {reset} s reset");
        }
    }
}

/// Most pixels on a line at a rate, 1.25 us a bit and 280 us of reset, worked out beforehand.
#[test]
fn most_pixels_on_a_line() {
    let wall = support::read(&support::one(1, 1, "ws2812b-30", "", ""));
    let most = [
        (24.0, 1379),
        (25.0, 1324),
        (30.0, 1101),
        (40.0, 824),
        (50.0, 657),
        (60.0, 546),
        (120.0, 268),
    ];
    for (fps, pixels) in most {
        let holds = |pixels| reached(frame_seconds(&wall.strip, pixels).rate(), Hertz(fps));
        assert!(holds(pixels) && !holds(pixels + 1), "{fps} fps");
    }
}

/// 576 pixels of 24 bits of 1.25 us are 17.28 ms, and 0.28 ms of reset.
#[test]
fn one_line_of_576_pixels() {
    let plan = plan_of(&support::one(16, 36, "ws2812b-30", "", ""));
    let line = &plan.data.lines[0];
    assert_eq!(
        (line.panel.as_str(), line.line, line.pixels, line.spare_pixels),
        ("only", 1, 576, 0)
    );
    close(line.seconds_per_frame.0, 0.01728 + 0.00028);
    assert_eq!(line.fps.0.round(), 57.0);
    assert_eq!(plan.data.wire_fps, line.fps);
}

#[test]
fn spare_pixels_take_time_too_and_the_longest_line_rules() {
    let rest = "[receiver]\nboard = \"esp32\"";
    let plan =
        plan_of(&support::one(5, 10, "ws2812b-30", "data_lines = 2\nspare_pixels = 4", rest));
    let pixels: Vec<_> = plan.data.lines.iter().map(|l| (l.pixels, l.spare_pixels)).collect();
    assert_eq!(pixels, [(34, 4), (24, 4)]);
    close(plan.data.lines[0].seconds_per_frame.0, 34.0 * 24.0 * 1.25e-6 + 280e-6);
    assert_eq!(plan.data.wire_fps, plan.data.lines[0].fps);
}

/// 32 start bits, 32 a pixel, half a clock a pixel rounded up to 32; agreeing secondary sources on
/// the APA102 and SK9822, whose frames end with 32 bits more.
#[test]
fn clocked_frames() {
    let strip = |part| support::read(&support::one(1, 1, part, "", "")).strip.clone();
    let (apa102, sk9822) = (strip("apa102-30"), strip("sk9822-30"));
    for (pixels, wanted, fps) in
        [(64, 2112, 1894.0), (256, 8352, 479.0), (640, 20_832, 192.0), (1024, 33_312, 120.0)]
    {
        assert_eq!(bits(&apa102, pixels), wanted);
        assert_eq!(bits(&sk9822, pixels), wanted + 32);
        assert_eq!(frame_seconds(&apa102, pixels).rate().0.round(), fps);
    }
}

fn usb(columns: u32, rows: u32, bits: u32) -> String {
    let rest = format!(
        "[receiver]\nlink = \"usb\"\nport = \"/dev/ttyUSB0\"\nbaud = 921600\ncolour_bits = {bits}"
    );
    support::one(columns, rows, "ws2812b-30", "", &rest)
}

/// 8N1 sends ten bit times a byte. 2,304 pixels of 3 bytes, 10 of header and two ENDs: 6,924 bytes;
/// with 16 colour bits 4,620. Common practice, no source, speaks of 13.3 and of 20 fps.
#[test]
fn a_serial_cable() {
    for (bits, bytes, practice) in [(24, 6924, 13.3), (16, 4620, 20.0)] {
        let data = plan_of(&usb(48, 48, bits)).data;
        assert_eq!((data.link.bytes_per_frame, data.link.packets_per_frame), (bytes, 1));
        close(data.link.fps.0, 92_160.0 / bytes as f64);
        assert!((data.link.fps.0 - practice).abs() < 0.06, "{}", data.link.fps.0);
        close(data.link.bytes_per_second.0, 30.0 * bytes as f64);
        assert_eq!((data.link.kind, data.link.protocol), ("usb", "ddp"));
        assert_eq!((data.link.airtime_share, data.receiver_fps), (None, None));
    }
}

/// One cable carries the whole wall: three panels of 640 pixels, each 1,920 + 12 bytes.
#[test]
fn one_serial_cable_for_all_panels() {
    let data = plan_of(&(support::tidewall() + "[receiver]\nlink = \"usb\"\n")).data;
    assert_eq!((data.link.bytes_per_frame, data.link.packets_per_frame), (3 * 1932, 3));
    close(data.link.fps.0, 92_160.0 / 5796.0);
    assert_eq!((data.bottleneck, data.fps), (Bottleneck::Link, data.link.fps));
}

/// Three panels of 640 pixels: universes of 170, 170, 170 and 130 pixels and a synchronization packet
/// each. Airtime by the 802.11n model: 273.5 us for 636 bytes, worked by hand; 516 bytes (19
/// symbols): 257.5; 49 bytes (5 symbols): 201.5.
#[test]
fn tidewall_over_wifi() {
    let data = plan_of(&support::tidewall()).data;
    assert_eq!(data.link.bytes_per_frame, 3 * (3 * 636 + 516 + 49));
    assert_eq!(data.link.packets_per_frame, 15);
    close(data.link.bytes_per_second.0, 30.0 * 7419.0);
    let airtime = 3.0 * (3.0 * 273.5 + 257.5 + 201.5) * 1e-6;
    close(data.link.airtime_share.unwrap(), 30.0 * airtime);
    close(data.link.fps.0, 0.5 / airtime);
    // An esp8266 takes in 1,000 packets a second (from memory), five a frame.
    close(data.receiver_fps.unwrap().0, 200.0);
    close(data.fps.0, 1.0 / 0.01948);
    assert_eq!(data.bottleneck, Bottleneck::None);
}

/// 66 bytes of headers and gaps for each packet at 100 Mbit/s: a packet of 638 bytes takes 704 on
/// the cable; worked out beforehand, overheads from memory.
#[test]
fn tidewall_by_ethernet() {
    let receiver = "[receiver]\nboard = \"esp32-ethernet\"\nlink = \"ethernet\"\n";
    let of = |protocol: &str| {
        plan_of(&format!("{}{receiver}protocol = \"{protocol}\"\n", support::tidewall())).data
    };
    let (e131, art_net, ddp) = (of("e1.31"), of("art-net"), of("ddp"));
    close(e131.link.fps.0, 100e6 / 8.0 / (3.0 * (3.0 * 702.0 + 582.0 + 115.0)));
    assert_eq!(e131.link.airtime_share, None);
    assert_eq!(art_net.link.bytes_per_frame, 3 * (3 * 528 + 408 + 14));
    assert_eq!(art_net.link.packets_per_frame, 15);
    // DDP says "show now" in its last packet.
    assert_eq!((ddp.link.bytes_per_frame, ddp.link.packets_per_frame), (3 * (1450 + 490), 6));
    close(ddp.receiver_fps.unwrap().0, 2500.0);
}

#[test]
fn the_slowest_is_named_only_when_the_wanted_rate_is_missed() {
    let of = |fps: f64, more: &str| {
        plan_of(&format!("{}[receiver]\nframes_per_second = {fps}\n{more}", support::tidewall()))
            .data
    };
    assert_eq!(of(51.0, "").bottleneck, Bottleneck::None);
    assert_eq!(of(52.0, "").bottleneck, Bottleneck::OneWire);
    let slow = "board = { links = [\"wifi\"], data_pins = 1, packets_per_second = 100 }\n";
    assert_eq!(of(30.0, slow).bottleneck, Bottleneck::Receiver);
    close(of(30.0, slow).fps.0, 20.0);
    // Exactly the wanted rate is reached.
    assert_eq!(of(20.0, slow).bottleneck, Bottleneck::None);
}

/// 576 x (3 x 20 mA + 1 mA) = 35.136 A.
#[test]
fn nominal_sums() {
    let power = plan_of(&support::one(16, 36, "ws2812b-30", "spare_pixels = 9", "")).power;
    close(power.full_white.amps.0, 35.136);
    close(power.full_white.watts.0, 175.68);
    close(power.typical.amps.0, 576.0 * (0.060 * 0.33 + 0.001));
    // Four channels of 20 mA.
    let power = plan_of(&support::one(10, 10, "sk6812-rgbw-30", "", "")).power;
    close(power.full_white.amps.0, 100.0 * 0.081);
}

/// Strips at the limit and receivers, over efficiency 0.85, over 230 V x power factor 0.6.
#[test]
fn mains_sums() {
    let power = plan_of(&support::tidewall()).power;
    let given = 5.0 * (1920.0 * (0.6 * 0.060 + 0.001) + 3.0 * 0.3);
    close(power.mains.watts.0, given / 0.85);
    close(power.mains.amps.0, given / 0.85 / (230.0 * 0.6));
    close(power.mains.circuit_share, given / 0.85 / (230.0 * 0.6) / 10.0);
    // The limit is not in the sums before it.
    close(power.full_white.amps.0, 1920.0 * 0.061);
}

/// A tall and a wide extreme, and the largest wall: plans are made by counting.
#[test]
fn extremes() {
    for (columns, rows) in [(65_535, 1), (1, 65_535), (2000, 2000)] {
        let rest =
            "[receiver]\nboard = \"esp32-ethernet\"\nlink = \"ethernet\"\nprotocol = \"ddp\"";
        let plan =
            plan_of(&support::one(columns, rows, "ws2812b-30", "strips = \"horizontal\"", rest));
        assert_eq!(plan.geometry.pixels, columns * rows);
        assert!(plan.data.fps.0 > 0.0 && plan.data.fps.0.is_finite());
    }
}
