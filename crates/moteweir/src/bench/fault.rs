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
    /// A needed column that is not there.
    #[error("the header lacks the column `{column}`")]
    LacksColumn {
        /// The column, or one of them.
        column: &'static str,
        /// A field of it.
        example: &'static str,
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
}

impl CountsFault {
    /// A few words to stand under the place.
    pub fn label(&self) -> String {
        match self {
            Self::NoRows => "nothing here".to_owned(),
            Self::NoHeader => "no header".to_owned(),
            Self::LacksColumn { column, .. } => format!("no `{column}`"),
            Self::OpenQuote => "the row that begins here".to_owned(),
            Self::EmptyField { .. } => "nothing in it".to_owned(),
            Self::NoEdge => "no edge of a channel".to_owned(),
            Self::OutOfRange { possible, .. } => format!("possible: {possible}"),
            Self::UnknownState { .. } => "not one of the states".to_owned(),
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
        }
    }

    /// What to do about it, where there is something to say.
    pub fn help(&self) -> Option<String> {
        Some(match self {
            Self::NoRows | Self::NoHeader => {
                "name the columns in the first row: state,from_um,seconds,counts is enough".to_owned()
            }
            Self::LacksColumn { column, example } => format!("for example `{column}` with {example} under it"),
            Self::OpenQuote => "close the quote, or leave quotes out".to_owned(),
            Self::EmptyField { example, .. } => format!("for example: {example}"),
            Self::NoEdge => {
                "one edge is needed: `from_um` = 0.3 alone is everything above 0.3 um, as most counters count".to_owned()
            }
            Self::UnknownState { near, .. } => {
                let meant = near.map_or_else(String::new, |near| format!("did you mean `{near}`? "));
                format!("{meant}The states: open (no sample), sample, zero (clean air), blocked (a foil instead)")
            }
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
            Self::OutOfRange { .. } => return None,
        })
    }
}
