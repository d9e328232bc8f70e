//! What was done to a specimen before it was tested.

/// The treatment of what nothing was done to.
pub(crate) const AS_RECEIVED: &str = "as received";
/// Words that say that the charge was taken away.
const DISCHARGES: [&str; 4] = ["discharg", "alcohol", "isopropanol", "ipa"];

/// What a treatment did to a material, as far as its words say.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Treatment {
    /// Nothing.
    AsReceived,
    /// It took the charge away.
    Discharged,
    /// Something that no model knows.
    Unknown,
}

impl Treatment {
    /// Of the words of a file or a scenario; none are `as received`.
    pub(crate) fn of(words: &str) -> Self {
        let words = words.trim().to_lowercase();
        let is_word = |known: &str| match known {
            // Three letters are found in too many words.
            "ipa" => words.split(|c: char| !c.is_alphanumeric()).any(|word| word == known),
            _ => words.contains(known),
        };
        if words.is_empty() || words == AS_RECEIVED {
            Self::AsReceived
        } else if DISCHARGES.into_iter().any(is_word) && !words.starts_with("not ") {
            Self::Discharged
        } else {
            Self::Unknown
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_of_treatments() {
        for words in ["", "As received", " as received "] {
            assert_eq!(Treatment::of(words), Treatment::AsReceived, "{words}");
        }
        for words in ["discharged in alcohol", "IPA, 5 min", "dipped in isopropanol", "Discharged"] {
            assert_eq!(Treatment::of(words), Treatment::Discharged, "{words}");
        }
        for words in ["washed 5 times", "participated in a wash", "not discharged"] {
            assert_eq!(Treatment::of(words), Treatment::Unknown, "{words}");
        }
    }
}
