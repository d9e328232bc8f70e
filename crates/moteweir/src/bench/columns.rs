//! The columns of a file of counts: what each says, and what it means when it is empty.

/// A column of a file of counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Column {
    /// Which reading a row belongs to.
    Reading,
    /// What the counter sucked through.
    State,
    /// The material or stack.
    Specimen,
    /// Which side faces the room.
    Side,
    /// How many layers.
    Layers,
    /// What was done to it.
    Treatment,
    /// Lower edge of the channel.
    From,
    /// Upper edge of the channel.
    To,
    /// How long was counted.
    Seconds,
    /// Flow through the counter.
    Flow,
    /// Face velocity through the sample.
    FaceVelocity,
    /// Particles counted.
    Counts,
}

/// How many columns there are.
pub(crate) const HOW_MANY: usize = 12;

impl Column {
    /// Every column, in the usual order.
    pub const ALL: [Self; HOW_MANY] = [
        Self::Reading,
        Self::State,
        Self::Specimen,
        Self::Side,
        Self::Layers,
        Self::Treatment,
        Self::From,
        Self::To,
        Self::Seconds,
        Self::Flow,
        Self::FaceVelocity,
        Self::Counts,
    ];

    /// The name in the header.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Reading => "reading",
            Self::State => "state",
            Self::Specimen => "specimen",
            Self::Side => "side",
            Self::Layers => "layers",
            Self::Treatment => "treatment",
            Self::From => "from_um",
            Self::To => "to_um",
            Self::Seconds => "seconds",
            Self::Flow => "litres_per_minute",
            Self::FaceVelocity => "face_velocity_cm_per_s",
            Self::Counts => "counts",
        }
    }

    /// A field, as an example.
    pub const fn example(self) -> &'static str {
        match self {
            Self::Reading | Self::Layers => "2",
            Self::State => "open",
            Self::Specimen => "felt",
            Self::Side => "fuzzy",
            Self::Treatment => "washed 5 times",
            Self::From => "0.3",
            Self::To => "0.5",
            Self::Seconds => "60",
            Self::Flow => "2.83",
            Self::FaceVelocity => "10",
            Self::Counts => "1104",
        }
    }

    /// What it says.
    pub const fn says(self) -> &'static str {
        match self {
            Self::Reading => {
                "the reading, by number or name; its channels are the rows of one number and state"
            }
            Self::State => {
                "open (no sample), sample, zero (clean air), or blocked (a foil instead of the sample: what leaks past \
                 the holder)"
            }
            Self::Specimen => {
                "the material or stack that is tested; of no use in open, zero and blocked rows"
            }
            Self::Side => "which side faces the room",
            Self::Layers => "how many layers of the specimen",
            Self::Treatment => {
                "what was done to it, in your own words: washed 5 times, discharged in alcohol"
            }
            Self::From => "lower edge of the channel",
            Self::To => "upper edge of the channel",
            Self::Seconds => "how long was counted",
            Self::Flow => "flow through the counter while it counted",
            Self::FaceVelocity => "face velocity: flow over the area of the sample that is open to it",
            Self::Counts => "particles counted, whole: no rate and no mean",
        }
    }

    /// What it means when it is empty or not there; `None` where it may not be.
    pub const fn when_empty(self) -> Option<&'static str> {
        Some(match self {
            Self::State | Self::Seconds | Self::Counts => return None,
            Self::Reading => {
                "rows of one kind that follow one another are one reading until a channel comes a second time"
            }
            Self::Specimen => "the only one there is, called sample",
            Self::Side => "not said: a side of its own",
            Self::Layers => "1",
            Self::Treatment => "as received",
            Self::From => "everything below to_um",
            Self::To => "everything above from_um; such channels are differenced where there are several",
            Self::Flow => "the same in all readings; give it in every row or in none",
            Self::FaceVelocity => "not known",
        })
    }

    /// The column of a name in a header; case and space do not count.
    pub(crate) fn named(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|column| column.name().eq_ignore_ascii_case(name.trim()))
    }
}
