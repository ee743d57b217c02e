//! Shows of one wall on several computers: which of them plays. No socket, no clock.

use std::collections::BTreeMap;

/// The most that are kept. Whoever floods the network with names is not kept all of.
const MOST: usize = 256;

/// What a show says of itself: who began first plays, of two at once the lower identity.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Claim {
    /// When it began by its own computer's clock, milliseconds since 1970.
    pub began: u64,
    /// Who it is: a UUID as 32 hexadecimal digits.
    pub cid: String,
}

/// Another show.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Rival {
    pub wall: String,
    pub claim: Claim,
    /// The computer that it is on.
    pub host: String,
}

/// All shows that have been heard of.
#[derive(Debug)]
pub(crate) struct Turns {
    wall: String,
    own: Claim,
    others: BTreeMap<String, Rival>,
}

impl Turns {
    pub fn new(wall: String, own: Claim) -> Self {
        Self { wall, own, others: BTreeMap::new() }
    }

    /// Somebody plays, or says something else than before.
    pub fn put(&mut self, name: String, rival: Rival) {
        if self.others.len() < MOST || self.others.contains_key(&name) {
            self.others.insert(name, rival);
        }
    }

    /// Somebody plays no more.
    pub fn remove(&mut self, name: &str) {
        self.others.remove(name);
    }

    /// The show that plays in place of this one, by its name and what it says; `None`: it is this one's turn. What
    /// says this one's identity is this one, or was before a new start.
    pub fn ahead(&self) -> Option<(&str, &Rival)> {
        let rivals = self.others.iter().filter(|(_, rival)| {
            rival.wall == self.wall && rival.claim.cid != self.own.cid && rival.claim < self.own
        });
        rivals.min_by_key(|(_, rival)| &rival.claim).map(|(name, rival)| (name.as_str(), rival))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn claim(began: u64, cid: &str) -> Claim {
        Claim { began, cid: cid.into() }
    }

    fn rival(wall: &str, began: u64, cid: &str) -> Rival {
        Rival { wall: wall.into(), claim: claim(began, cid), host: format!("{cid}.local") }
    }

    fn ahead(turns: &Turns) -> Option<&str> {
        turns.ahead().map(|(name, _)| name)
    }

    #[test]
    fn who_began_first_plays() {
        let mut turns = Turns::new("Tidewall".into(), claim(500, "bb"));
        assert_eq!(ahead(&turns), None);
        turns.put("later".into(), rival("Tidewall", 501, "aa"));
        turns.put("other wall".into(), rival("Moorings", 1, "aa"));
        turns.put("itself, before".into(), rival("Tidewall", 1, "bb"));
        assert_eq!(ahead(&turns), None);
        turns.put("at once".into(), rival("Tidewall", 500, "aa"));
        assert_eq!(ahead(&turns), Some("at once"));
        turns.put("first".into(), rival("Tidewall", 400, "cc"));
        assert_eq!(ahead(&turns), Some("first"));
        turns.remove("first");
        turns.remove("at once");
        assert_eq!(ahead(&turns), None);
    }

    #[test]
    fn of_any_number_exactly_one_plays() {
        let claims = [claim(7, "aa"), claim(7, "bb"), claim(3, "dd"), claim(9, "cc")];
        let plays = |own: &Claim| {
            let mut turns = Turns::new("Tidewall".into(), own.clone());
            for other in &claims {
                turns.put(other.cid.clone(), rival("Tidewall", other.began, &other.cid));
            }
            turns.ahead().is_none()
        };
        let playing: Vec<_> = claims.iter().filter(|own| plays(own)).collect();
        assert_eq!(playing, [&claim(3, "dd")]);
    }

    #[test]
    fn a_flood_is_not_kept() {
        let mut turns = Turns::new("Tidewall".into(), claim(5, "aa"));
        for n in 0..10_000 {
            turns.put(format!("{n}"), rival("Tidewall", 9, "ff"));
        }
        assert_eq!(turns.others.len(), MOST);
    }
}
