//! Sources as people write them, rightly and wrongly.

use super::*;

fn lettering(name: &str) -> Lettering {
    match read(name).unwrap() {
        Some(Worded::Lettering(lettering)) => lettering,
        other => panic!("{other:?}"),
    }
}

fn said(name: &str) -> String {
    let failure = read(name).unwrap_err();
    format!("{}; {}", failure.message(), failure.remedy().unwrap_or_default())
}

#[test]
fn names_of_files_are_not_words() {
    for name in
        ["-", "tide", "text.png", "./clock", "clock.gif", "texts:a", "a,b.png", "C:\\text", ""]
    {
        assert!(read(name).unwrap().is_none(), "{name}");
    }
}

#[test]
fn a_text_keeps_what_stands_behind_the_first_colon() {
    let Lettering::Text { text, style } = lettering("text:at 9:30, or=so\\nbye") else { panic!() };
    assert_eq!((text.as_str(), style), ("at 9:30, or=so\nbye", TextStyle::default()));
    let all = "text,face=broad,rows=16,flow=scroll,speed=7,colour=#FF0000,ground=0000ff:x";
    let Lettering::Text { style, .. } = lettering(all) else { panic!() };
    let wanted = TextStyle {
        face: Some(Face::Broad),
        rows: NonZeroU32::new(16),
        flow: Flow::Scroll,
        speed: PixelsPerSecond(NonZeroU32::new(7).unwrap()),
        colour: Light([65_535, 0, 0]),
        ground: Light([0, 0, 65_535]),
    };
    assert_eq!(style, wanted);
}

#[test]
fn a_clock_has_its_choices() {
    let all = "clock,hours=12,seconds=sweep,date=mdy,zone=Asia/Kathmandu,face=fixed,colour=00ff00";
    let Lettering::Clock { style, zone } = lettering(all) else { panic!() };
    let wanted = ClockStyle {
        face: Some(Face::Fixed),
        hours: Hours::Twelve,
        seconds: Seconds::Sweep,
        date: Some(DateOrder::MonthDayYear),
        colour: Light([0, 65_535, 0]),
        ground: Light::BLACK,
    };
    assert_eq!(style, wanted);
    assert_eq!(zone, Zone::named("Asia/Kathmandu").unwrap());
}

#[test]
fn frames_are_asked_for_with_a_rate() {
    let rate = |name| match read(name).unwrap() {
        Some(Worded::Frames { rate }) => rate.map(|rate| rate.get().0),
        other => panic!("{other:?}"),
    };
    assert_eq!((rate("frames"), rate("frames,rate=29.97")), (None, Some(29.97)));
}

#[test]
fn a_sound_is_a_file_and_a_picture_of_it() {
    let Ok(Some(Worded::Sound(sound))) = read("sound,picture=lamps:a/b:c.wav") else { panic!() };
    assert_eq!(sound.file(), Some(std::path::Path::new("a/b:c.wav")));
    assert!(format!("{sound:?}").contains("lamps"));
    let Ok(Some(Worded::Sound(sound))) = read("microphone,picture=rings,device=hw:1") else {
        panic!()
    };
    assert_eq!(sound.file(), None);
    assert!(format!("{sound:?}").contains("hw:1"));
}

fn fetched(name: &str) -> Fetched {
    match read(name).unwrap() {
        Some(Worded::Fetched(fetched)) => fetched,
        other => panic!("{other:?}"),
    }
}

#[test]
fn data_have_a_place_and_words() {
    let found = fetched(
        "data,every=5,colour=ffcc00:http://192.0.2.7:81/a,b.json?c=d {/now/t:x} °C, {2:/e}",
    );
    assert_eq!((&*found.from, found.every.as_secs()), ("http://192.0.2.7:81/a,b.json?c=d", 5));
    let Made::Words { template, style } = found.made else { panic!() };
    assert_eq!(template, Template::new("{/now/t:x} °C, {2:/e}").unwrap());
    assert_eq!(style.colour, Light::of_codes([255, 204, 0]));
    let found = fetched("data:<my data.json>{/a}\\n{/b}");
    assert_eq!((&*found.from, found.every.as_secs()), ("my data.json", 60));
    let Made::Words { template, .. } = found.made else { panic!() };
    assert_eq!(template, Template::new("{/a}\n{/b}").unwrap());
    let found = fetched("album,every=10:now.json /cover/0");
    let Made::Picture(pointer) = found.made else { panic!() };
    assert_eq!((&*found.from, pointer), ("now.json", Pointer::new("/cover/0").unwrap()));
}

#[test]
fn a_socket_listens_here_unless_it_is_told_otherwise() {
    let socket = |name: &str| match read(name).unwrap() {
        Some(Worded::Socket { at, origins }) => (at.to_string(), origins),
        other => panic!("{other:?}"),
    };
    assert_eq!(socket("socket"), ("127.0.0.1:15580".into(), vec![]));
    let (at, origins) = socket("socket,listen=[::1]:7,origin=http://192.0.2.9:8000,origin=null");
    assert_eq!(
        (&*at, &*origins),
        ("[::1]:7", &["http://192.0.2.9:8000".to_owned(), "null".into()][..])
    );
}

/// What was found, and what to write.
#[test]
fn wrong_words_are_told() {
    for (name, found, wanted) in [
        ("text", "nothing to read", "after a colon"),
        ("clock:now", "has a colon", "by commas"),
        ("text,size=3:a", "\"size=3\"", "face, rows, flow"),
        ("text,rows=0:a", "\"rows=0\"", "a number of rows"),
        ("text,speed=fast:a", "\"speed=fast\"", "pixels a second"),
        ("text,face:a", "\"face\"", "face=VALUE"),
        ("text,colour=fc0:a", "\"colour=fc0\"", "six hexadecimal digits"),
        ("text,colour=+fffff:a", "\"colour=+fffff\"", "six hexadecimal digits"),
        ("text,flow=up:a", "\"flow=up\"", "one of auto, still, wrap, scroll"),
        ("clock,hours=13", "\"hours=13\"", "one of 24, 12"),
        ("clock,zone=Europe/Atlantis", "\"Europe/Atlantis\"", "such as Europe/Paris"),
        ("sound", "nothing to hear", "a file of sound after a colon"),
        ("sound,picture=bars:a.wav", "\"picture=bars\"", "one of swell, lamps, rings"),
        ("sound,volume=3:a.wav", "\"volume=3\"", "among picture"),
        ("microphone:left", "no text after a colon", "by commas"),
        ("microphone,device", "\"device\"", "device=VALUE"),
        ("microphone,gain=2", "\"gain=2\"", "picture, device"),
        ("frames,rate=0", "0", "1 to 1000"),
        ("data", "where its data are", "after a colon"),
        ("album", "where its data are", "after a colon"),
        ("data:http://192.0.2.7/a.json", "of its data", "what is shown of them"),
        ("data:http://192.0.2.7/a.json ", "of its data", "what is shown of them"),
        ("data:<a.json {/b}", "of its data", "angle brackets"),
        ("data:a.json b", "no place for data", "{/now/temperature}"),
        ("data:a.json {b}", "\"b\" is no JSON pointer", "each after a slash"),
        ("data:a.json {/b", "a brace stands alone", "two braces"),
        ("data,every=0:a.json {/b}", "\"every=0\"", "seconds from 1"),
        ("data,often:a.json {/b}", "\"often\"", "every, face, rows"),
        ("album:a.json b", "\"b\" is no JSON pointer", "each after a slash"),
        ("album,face=any:a.json /b", "\"face=any\"", "among every"),
        ("socket,listen=here", "\"listen=here\"", "127.0.0.1:15580"),
        ("socket,port=3", "\"port=3\"", "listen, origin"),
        ("frames,fps=3", "\"fps=3\"", "among rate"),
    ] {
        let said = said(name);
        assert!(said.contains(found) && said.contains(wanted), "{name}: {said}");
    }
}
