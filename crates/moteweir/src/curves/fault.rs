//! What can be wrong in a file of a curve, and the words for it.

/// What is wrong at a place of a file of a curve. `Display` is the message.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum CurveFault {
    /// Nothing but comments and empty lines, or a heading alone.
    #[error("there are no measurements in it")]
    NoRows,
    /// The first row names no column.
    #[error("the first row is no heading: none of its fields is the name of a column")]
    NoHeading,
    /// Two columns that say the same.
    #[error("`{one}` and `{other}` both state {what}")]
    BothState {
        /// One column.
        one: &'static str,
        /// The other.
        other: &'static str,
        /// What they state.
        what: &'static str,
    },
    /// Penetrations and flows in one file.
    #[error("penetrations and pressure drops stand in one file")]
    TwoKinds,
    /// Nothing that was measured.
    #[error("the heading names nothing that was measured")]
    NothingMeasured,
    /// A needed column that is not there.
    #[error("the heading lacks the column `{column}`")]
    LacksColumn {
        /// The column.
        column: &'static str,
    },
    /// A quote that is not closed.
    #[error("a quote is not closed on its line")]
    OpenQuote,
    /// A needed field that is empty.
    #[error("`{column}` is empty")]
    EmptyField {
        /// The column.
        column: &'static str,
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
        /// What was probably meant, where there is something to guess.
        meant: Option<String>,
    },
    /// More downstream than upstream by more than chance.
    #[error(
        "{downstream} downstream of {upstream} upstream is a penetration of {penetration}, above 1 by more than chance"
    )]
    MoreDownstream {
        /// Counts upstream.
        upstream: u64,
        /// Counts downstream.
        downstream: u64,
        /// The penetration that follows, as text.
        penetration: String,
    },
    /// The same point twice.
    #[error("the same {what} a second time")]
    Duplicate {
        /// What is the same: size and velocity, or velocity.
        what: &'static str,
        /// Line of the first.
        first_line: usize,
    },
    /// More points than any laboratory measures.
    #[error("there are more than {most} measurements in it")]
    TooMany {
        /// How many are read.
        most: usize,
    },
}

impl CurveFault {
    /// A few words to stand under the place.
    pub fn label(&self) -> String {
        match self {
            Self::NoRows => "nothing after this".to_owned(),
            Self::NoHeading => "no heading".to_owned(),
            Self::BothState { what, .. } => format!("{what} a second time"),
            Self::TwoKinds => "of another kind".to_owned(),
            Self::NothingMeasured => "sizes and velocities at most".to_owned(),
            Self::LacksColumn { column } => format!("no `{column}`"),
            Self::OpenQuote => "the row that begins here".to_owned(),
            Self::EmptyField { .. } => "nothing in it".to_owned(),
            Self::OutOfRange { possible, .. } => format!("possible: {possible}"),
            Self::MoreDownstream { .. } => "more than came in".to_owned(),
            Self::Duplicate { first_line, .. } => format!("the first is in line {first_line}"),
            Self::TooMany { .. } => "one too many".to_owned(),
        }
    }

    /// What to do about it, where there is something to say.
    pub fn help(&self) -> Option<String> {
        Some(match self {
            Self::NoRows | Self::NoHeading => {
                "name the columns in the first row, such as diameter_um,face_velocity_cm_per_s,penetration".to_owned()
            }
            Self::BothState { one, other, .. } => format!("keep `{one}` or `{other}`"),
            Self::TwoKinds => "put them into two files, each with its own [[measured]]".to_owned(),
            Self::NothingMeasured => {
                "add `penetration`, `efficiency`, `upstream_counts` and `downstream_counts`, or `pressure_drop_pa`"
                    .to_owned()
            }
            Self::OpenQuote => "close the quote, or leave quotes out".to_owned(),
            Self::OutOfRange { meant, .. } => format!("write {}", meant.as_ref()?),
            Self::MoreDownstream { .. } => {
                "check which side is which, the times counted and the `correlation_ratio` (downstream over upstream of the empty rig)".to_owned()
            }
            Self::Duplicate { .. } => "average repeats before, with the uncertainty of the mean".to_owned(),
            Self::TooMany { .. } => "average them into fewer".to_owned(),
            Self::LacksColumn { .. } | Self::EmptyField { .. } => {
                return None;
            }
        })
    }
}
