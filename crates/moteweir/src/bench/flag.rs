//! Trouble with counts, in words.

/// A kind of trouble.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Kind {
    Coincidence,
    Throttled,
    Bypass,
    NoBlocked,
    Fog,
    Falling,
    Static,
    NoZero,
    NoBracket,
}

impl Kind {
    pub(super) const fn name(self) -> &'static str {
        match self {
            Self::Coincidence => "coincidence",
            Self::Throttled => "throttled pump",
            Self::Bypass => "bypass",
            Self::NoBlocked => "no blocked reading",
            Self::Fog => "more than open",
            Self::Falling => "falling counts",
            Self::Static => "false counts",
            Self::NoZero => "no zero reading",
            Self::NoBracket => "no bracket",
        }
    }

    /// Beside a result: which way it moves it.
    const fn note(self) -> &'static str {
        match self {
            Self::Coincidence => "coincidence: catches more than shown",
            Self::Throttled => "throttled pump: slower air than open",
            Self::Bypass => "bypass: catches more than shown, if it was not taken off",
            Self::NoBlocked | Self::NoZero => {
                "leak and false counts not looked for: may catch more than shown"
            }
            Self::Fog => "more than open: no filter does that",
            Self::Falling => "falls along the readings: may catch more than shown",
            Self::Static => "false counts taken off",
            Self::NoBracket => "not between open readings: either way",
        }
    }
}

/// Trouble, in words.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Flag {
    pub(super) kind: Kind,
    /// What was seen, the usual cause, and the direction of the bias.
    pub(super) text: String,
    /// What it is about; all where empty.
    pub(super) subjects: Vec<usize>,
    /// The channel it is about; all where none.
    pub(super) channel: Option<usize>,
    /// The same in short, to be added to one of the same kind in another channel.
    pub(super) likewise: Option<String>,
}

impl Flag {
    pub(super) fn note(&self) -> String {
        self.kind.note().to_owned()
    }

    /// Whether it is about a subject in a channel.
    pub(super) fn concerns(&self, subject: usize, channel: usize) -> bool {
        (self.subjects.is_empty() || self.subjects.contains(&subject))
            && self.channel.is_none_or(|own| own == channel)
    }
}

/// The words of all flags, those of one kind together.
pub(super) fn said(flags: &[Flag]) -> Vec<(&'static str, String)> {
    let mut all: Vec<(&'static str, String, Vec<&str>)> = Vec::new();
    for flag in flags {
        let name = flag.kind.name();
        match (all.iter_mut().find(|(known, ..)| *known == name), &flag.likewise) {
            (Some((.., likewise)), Some(short)) => likewise.push(short),
            _ => all.push((name, flag.text.clone(), Vec::new())),
        }
    }
    let joined = |likewise: &[&str]| {
        if likewise.is_empty() { String::new() } else { format!(" Likewise {}.", likewise.join("; ")) }
    };
    all.into_iter().map(|(name, text, likewise)| (name, text + &joined(&likewise))).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_same_trouble_in_another_channel_is_said_in_short() {
        let flag = |kind, channel: usize| Flag {
            kind,
            text: format!("Trouble in {channel}."),
            subjects: vec![0],
            channel: Some(channel),
            likewise: Some(format!("in {channel}")),
        };
        let all = [flag(Kind::Fog, 0), flag(Kind::Bypass, 0), flag(Kind::Fog, 1), flag(Kind::Fog, 2)];
        let said = said(&all);
        assert_eq!(said.len(), 2);
        assert_eq!(said[0].1, "Trouble in 0. Likewise in 1; in 2.");
        assert_eq!(said[1].1, "Trouble in 0.");
    }
}
