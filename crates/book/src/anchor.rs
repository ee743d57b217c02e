//! Where a panel's section is found in the book's page: the one truth of it, for links, codes and page.

use glowloom_design::Wall;

/// The page of the book.
pub const PAGE: &str = "index.html";

/// Most letters of a name that an anchor takes.
const MOST: usize = 32;

/// The id of a panel's section, fit for HTML and for an address, unlike every other panel's: its name in
/// plain letters; where nothing else would tell it, or letters were lost, with its number in the file.
/// Panels count from 0 here. Empty where the wall has no such panel.
#[must_use]
pub fn anchor(wall: &Wall, panel: usize) -> String {
    let Some(named) = wall.panels.get(panel) else { return String::new() };
    let plain = plain(&named.name);
    let kept = plain == named.name.to_lowercase();
    let alone = wall.panels.iter().filter(|other| self::plain(&other.name) == plain).count() == 1;
    // A name that ends as a number could be taken for another one's number.
    let numbered = plain.rsplit('-').next().is_some_and(|end| end.parse::<u32>().is_ok());
    if kept && alone && !numbered && !plain.is_empty() {
        return format!("panel-{plain}");
    }
    let hyphen = if plain.is_empty() { "" } else { "-" };
    format!("panel-{plain}{hyphen}{}", panel + 1)
}

/// Letters and digits of ASCII in lower case, and one hyphen for whatever else is between them.
fn plain(name: &str) -> String {
    let mut plain = String::new();
    for c in name.chars() {
        if c.is_ascii_alphanumeric() {
            plain.push(c.to_ascii_lowercase());
        } else if !plain.is_empty() && !plain.ends_with('-') {
            plain.push('-');
        }
    }
    plain.truncate(MOST);
    plain.trim_end_matches('-').to_owned()
}

/// The address of a panel's section: with the page's own as the wall file has it, else from the book's
/// folder.
#[must_use]
pub fn address(wall: &Wall, panel: usize) -> String {
    format!("{}#{}", wall.book_page.as_deref().unwrap_or(PAGE), anchor(wall, panel))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_two_panels_share_one() {
        let long = "x".repeat(150);
        let names = [
            "west", "West Bay", "West-Bay", "../..", "a/b", "מזרח", "🌊", "7", "west-7", "côté",
            &long, "WEST",
        ];
        let panels: String = names
            .iter()
            .enumerate()
            .map(|(i, name)| format!("[[panels]]\nname = '{name}'\nat = [{i}, 0]\n"))
            .collect();
        let text = format!(
            "format = 1\n[wall]\nname = \"W\"\ncolumns = {}\nrows = 1\n[strip]\npart = \"ws2812b-30\"\n\
             [panel]\ncolumns = 1\nrows = 1\n{panels}",
            names.len()
        );
        let wall = glowloom_design::read(text.as_bytes()).unwrap();
        let all: Vec<String> = (0..names.len()).map(|panel| anchor(&wall, panel)).collect();
        let mut set = all.clone();
        set.sort();
        set.dedup();
        assert_eq!(set.len(), all.len(), "{all:?}");
        for anchor in &all {
            assert!(anchor.bytes().all(|b| b.is_ascii_alphanumeric() || b == b'-'), "{anchor}");
            assert!(anchor.len() < 60 && !anchor.ends_with('-'), "{anchor}");
        }
        assert_eq!(all[1], "panel-west-bay-2");
        assert_eq!(all[3], "panel-4");
        let one = text.replace("'WEST'", "'east'");
        let wall = glowloom_design::read(one.as_bytes()).unwrap();
        assert_eq!(address(&wall, 0), "index.html#panel-west");
        assert_eq!(anchor(&wall, 99), "");
        let known = format!("{one}[book]\npage = 'http://192.0.2.10/b/'\n");
        let wall = glowloom_design::read(known.as_bytes()).unwrap();
        assert_eq!(address(&wall, 0), "http://192.0.2.10/b/#panel-west");
    }
}
