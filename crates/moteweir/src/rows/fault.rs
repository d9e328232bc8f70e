//! What can be wrong with the rows of any file, and the words for it.

/// What is wrong at a place of a file of rows. `Display` is the message.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum RowFault {
    /// A column that means nothing here.
    #[error("unknown column `{name}`")]
    UnknownColumn {
        /// As written.
        name: String,
        /// The nearest column there is.
        near: Option<&'static str>,
    },
    /// A column that comes twice.
    #[error("the column `{column}` comes twice")]
    ColumnTwice {
        /// The column.
        column: &'static str,
    },
    /// More fields than the heading has.
    #[error("the row has {fields} fields, but the heading names {columns} columns")]
    ExtraFields {
        /// Fields of the row.
        fields: usize,
        /// Columns of the heading.
        columns: usize,
    },
    /// Text where a number belongs.
    #[error("`{column}`: `{text}` is no number")]
    NotANumber {
        /// The column.
        column: &'static str,
        /// As written.
        text: String,
        /// What was probably meant.
        meant: Option<String>,
    },
    /// Counts that are not whole.
    #[error("`{column}` = {text} is not whole")]
    NotWhole {
        /// The column.
        column: &'static str,
        /// As written.
        text: String,
    },
    /// A channel whose lower edge is not below its upper edge.
    #[error("the channel is upside down: `from_um` = {from} is not below `to_um` = {to}")]
    UpsideDown {
        /// Lower edge as written.
        from: String,
        /// Upper edge as written.
        to: String,
    },
    /// More problems than are shown.
    #[error("{count} more problem{} from here on", if *.count == 1 { "" } else { "s" })]
    More {
        /// How many.
        count: usize,
    },
}

impl RowFault {
    /// How many problems it stands for.
    pub(crate) const fn stands_for(&self) -> usize {
        match self {
            Self::More { count } => *count,
            _ => 1,
        }
    }

    /// A few words to stand under the place.
    pub const fn label(&self) -> &'static str {
        match self {
            Self::UnknownColumn { near: Some(_), .. } => "not a column",
            Self::UnknownColumn { .. } => "not used",
            Self::ColumnTwice { .. } => "the second",
            Self::ExtraFields { .. } => "too many fields",
            Self::NotANumber { .. } => "expected a number",
            Self::NotWhole { .. } => "expected a whole number",
            Self::UpsideDown { .. } => "not below the upper edge",
            Self::More { .. } => "the next of them",
        }
    }

    /// What to do about it, where there is something to say.
    pub fn help(&self) -> Option<String> {
        let help = match self {
            Self::UnknownColumn { near, .. } => return near.map(|near| format!("did you mean `{near}`?")),
            Self::NotANumber { meant, .. } => {
                return meant.as_ref().map(|meant| format!("did you mean {meant}?"));
            }
            Self::More { .. } => return None,
            Self::ColumnTwice { .. } => "keep one of them",
            Self::ExtraFields { .. } => {
                "a decimal comma splits a number in two: write 0.3, or put semicolons between the fields"
            }
            Self::NotWhole { .. } => "particles come whole: give what was counted, no rate and no mean",
            Self::UpsideDown { .. } => "the smaller size is `from_um`",
        };
        Some(help.to_owned())
    }
}
