//! Texts of the other files that a scenario names, as somebody outside has read them.

use std::collections::BTreeMap;

/// Why a file could not be read.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum Unread {
    /// There is no such file.
    #[error("is not there")]
    Missing,
    /// The file is no text in UTF-8.
    #[error("is not text in UTF-8 (byte {at} is not)")]
    NotText {
        /// The first byte that is none.
        at: usize,
    },
    /// The system says why.
    #[error("cannot be read: {why}")]
    Refused {
        /// In the system's words.
        why: String,
    },
}

/// Texts of the files that a scenario names, under the names as the scenario has them.
///
/// The library reads no files: [`crate::Scenario::files`] lists what is needed, somebody outside reads it, with
/// paths relative to the scenario, and hands it to [`crate::Case::read_with`].
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Files(BTreeMap<String, Result<String, Unread>>);

impl Files {
    /// No file at all.
    pub const fn none() -> Self {
        Self(BTreeMap::new())
    }

    /// Adds the text of a file, or why there is none.
    pub fn insert(&mut self, name: impl Into<String>, text: Result<String, Unread>) {
        self.0.insert(name.into(), text);
    }

    /// The text of a file, or why there is none; a file that nobody handed in is missing.
    ///
    /// # Errors
    /// Why there is no text.
    pub fn text(&self, name: &str) -> Result<&str, &Unread> {
        match self.0.get(name) {
            Some(Ok(text)) => Ok(text),
            Some(Err(why)) => Err(why),
            None => Err(&Unread::Missing),
        }
    }

    /// Every file whose text there is, by name.
    pub fn texts(&self) -> impl Iterator<Item = (&str, &str)> {
        self.0.iter().filter_map(|(name, text)| Some((name.as_str(), text.as_deref().ok()?)))
    }
}

impl<N: Into<String>, T: Into<String>> FromIterator<(N, T)> for Files {
    fn from_iter<I: IntoIterator<Item = (N, T)>>(texts: I) -> Self {
        Self(texts.into_iter().map(|(name, text)| (name.into(), Ok(text.into()))).collect())
    }
}
