//! What can be wrong in a file of counts, and the words for it.

/// What is wrong at a place of a file of counts. `Display` is the message.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum CountsFault {
    /// Nothing but comments and empty lines.
    #[error("there are no counts in it")]
    NoRows,
    /// The first row names no column.
    #[error("the first row is no header: none of its fields is the name of a column")]
    NoHeader,
    /// A column that means nothing here, close to one that does.
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
    /// A needed column that is not there.
    #[error("the header lacks the column `{column}`")]
    LacksColumn {
        /// The column, or one of them.
        column: &'static str,
        /// A field of it.
        example: &'static str,
    },
    /// More fields than the header has.
    #[error("the row has {fields} fields, but the header names {columns} columns")]
    ExtraFields {
        /// Fields of the row.
        fields: usize,
        /// Columns of the header.
        columns: usize,
    },
    /// A quote that is not closed, or closed lines further down.
    #[error("a quote is not closed on its line, so that what follows was not read")]
    OpenQuote,
    /// A needed field that is empty.
    #[error("`{column}` is empty")]
    EmptyField {
        /// The column.
        column: &'static str,
        /// A field of it.
        example: &'static str,
    },
    /// A row without any edge of a channel.
    #[error("neither `from_um` nor `to_um` is given")]
    NoEdge,
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
    /// A number that cannot be.
    #[error("`{column}` = {text} is outside what is possible")]
    OutOfRange {
        /// The column.
        column: &'static str,
        /// As written.
        text: String,
        /// What is possible, in words.
        possible: &'static str,
    },
    /// A state that is none.
    #[error("`{word}` is no state")]
    UnknownState {
        /// As written.
        word: String,
        /// The nearest state.
        near: Option<&'static str>,
    },
    /// A channel whose lower edge is not below its upper edge.
    #[error("the channel is upside down: `from_um` = {from} is not below `to_um` = {to}")]
    UpsideDown {
        /// Lower edge as written.
        from: String,
        /// Upper edge as written.
        to: String,
    },
    /// The same channel of the same reading twice.
    #[error("the same channel of the same reading a second time")]
    Duplicate {
        /// Line of the first.
        first_line: usize,
    },
    /// More channels than any counter has.
    #[error("a reading has more than {most} channels")]
    TooManyChannels {
        /// How many are read.
        most: usize,
    },
    /// Two rows of one reading that say different things of it.
    #[error("two rows of one reading disagree: `{column}` is {here} here and {there} in line {first_line}")]
    Disagrees {
        /// The column.
        column: &'static str,
        /// Here.
        here: String,
        /// There.
        there: String,
        /// Line of the other.
        first_line: usize,
    },
    /// A flow in some rows and not in others.
    #[error("`litres_per_minute` is given in some rows but not in this one")]
    FlowMissing,
    /// A wider channel that counts fewer than one inside it.
    #[error("the channel {wide} counts {wide_counts}, fewer than the {narrow_counts} of {narrow} inside it")]
    WiderCountsFewer {
        /// The wider channel.
        wide: String,
        /// Its counts.
        wide_counts: u64,
        /// The narrower channel.
        narrow: String,
        /// Its counts.
        narrow_counts: u64,
    },
    /// Channels that share sizes and are not nested.
    #[error("the channels {one} and {other} overlap, so their particles are counted twice")]
    Overlap {
        /// One.
        one: String,
        /// The other.
        other: String,
    },
    /// No open reading at all.
    #[error("there is no `open` reading to compare with")]
    NoOpen,
    /// No open reading in a channel.
    #[error("there is no `open` reading of the channel {channel}")]
    NoOpenIn {
        /// The channel.
        channel: String,
    },
    /// No reading of a sample.
    #[error("there is no `sample` reading")]
    NoSample,
    /// Rows that repeat the row before them.
    #[error("the row repeats the one before it to the last digit")]
    Repeats {
        /// How many rows do so.
        rows: usize,
    },
    /// More problems than are shown.
    #[error("{count} more problem{} from here on", if *.count == 1 { "" } else { "s" })]
    More {
        /// How many.
        count: usize,
    },
}

impl CountsFault {
    /// How many problems it stands for.
    pub(crate) const fn stands_for(&self) -> usize {
        match self {
            Self::More { count } => *count,
            _ => 1,
        }
    }

    /// A few words to stand under the place.
    pub fn label(&self) -> String {
        match self {
            Self::NoRows => "nothing here".to_owned(),
            Self::NoHeader => "no header".to_owned(),
            Self::UnknownColumn { near: Some(_), .. } => "not a column".to_owned(),
            Self::UnknownColumn { .. } => "not used".to_owned(),
            Self::ColumnTwice { .. } => "the second".to_owned(),
            Self::LacksColumn { column, .. } => format!("no `{column}`"),
            Self::ExtraFields { .. } => "too many fields".to_owned(),
            Self::OpenQuote => "the row that begins here".to_owned(),
            Self::EmptyField { .. } => "nothing in it".to_owned(),
            Self::NoEdge => "no edge of a channel".to_owned(),
            Self::NotANumber { .. } => "expected a number".to_owned(),
            Self::NotWhole { .. } => "expected a whole number".to_owned(),
            Self::OutOfRange { possible, .. } => format!("possible: {possible}"),
            Self::UnknownState { .. } => "not one of the states".to_owned(),
            Self::UpsideDown { .. } => "not below the upper edge".to_owned(),
            Self::Duplicate { first_line } => format!("the first is in line {first_line}"),
            Self::TooManyChannels { .. } => "one too many".to_owned(),
            Self::Disagrees { .. } => "says something else".to_owned(),
            Self::FlowMissing => "no flow".to_owned(),
            Self::WiderCountsFewer { .. } => "fewer than inside it".to_owned(),
            Self::Overlap { .. } => "overlaps another channel".to_owned(),
            Self::NoOpen => "no `open` among the states".to_owned(),
            Self::NoOpenIn { .. } => "counted through a sample only".to_owned(),
            Self::NoSample => "no `sample` among the states".to_owned(),
            Self::Repeats { rows: 1 } => "the same again".to_owned(),
            Self::Repeats { rows } => format!("the same again, here and in {} other rows", rows - 1),
            Self::More { .. } => "the next of them".to_owned(),
        }
    }

    /// What to do about it, where there is something to say.
    pub fn help(&self) -> Option<String> {
        Some(match self {
            Self::NoRows | Self::NoHeader => {
                "name the columns in the first row: state,from_um,seconds,counts is enough".to_owned()
            }
            Self::UnknownColumn { near: Some(near), .. } => format!("did you mean `{near}`?"),
            Self::ColumnTwice { .. } => "keep one of them".to_owned(),
            Self::LacksColumn { column, example } => format!("for example `{column}` with {example} under it"),
            Self::ExtraFields { .. } => {
                "a decimal comma splits a number in two: write 0.3, or put semicolons between the fields".to_owned()
            }
            Self::OpenQuote => "close the quote, or leave quotes out".to_owned(),
            Self::EmptyField { example, .. } => format!("for example: {example}"),
            Self::NoEdge => {
                "one edge is needed: `from_um` = 0.3 alone is everything above 0.3 um, as most counters count".to_owned()
            }
            Self::NotANumber { meant, .. } => format!("did you mean {}?", meant.as_ref()?),
            Self::NotWhole { .. } => {
                "particles come whole: give what was counted in `seconds`, no rate and no mean".to_owned()
            }
            Self::UnknownState { near, .. } => {
                let meant = near.map_or_else(String::new, |near| format!("did you mean `{near}`? "));
                format!("{meant}The states: open (no sample), sample, zero (clean air), blocked (a foil instead)")
            }
            Self::UpsideDown { .. } => "the smaller size is `from_um`".to_owned(),
            Self::Duplicate { .. } => {
                "delete one of them, or give the second reading another number under `reading`".to_owned()
            }
            Self::TooManyChannels { .. } | Self::Disagrees { .. } => "give each reading its own number under `reading`".to_owned(),
            Self::FlowMissing => "give it in every row or in none".to_owned(),
            Self::WiderCountsFewer { .. } => {
                "where every channel has its own counts, give both `from_um` and `to_um`".to_owned()
            }
            Self::Overlap { .. } => {
                "channels that share an edge are differenced; these share none, and their results are not independent"
                    .to_owned()
            }
            Self::NoOpen | Self::NoOpenIn { .. } => {
                "count the room without the sample too, before and after: state `open`".to_owned()
            }
            Self::NoSample => "count through the sample too: state `sample`".to_owned(),
            Self::Repeats { .. } => "if it was copied by mistake, its particles are counted twice".to_owned(),
            Self::UnknownColumn { near: None, .. } | Self::OutOfRange { .. } | Self::More { .. } => return None,
        })
    }
}
