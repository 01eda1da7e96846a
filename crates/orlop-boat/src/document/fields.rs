//! What a section of the boat file may hold, declared once.
//!
//! The same lists give reading, errors for unknown keys, the JSON Schema and the starter file.

use orlop_units::Kind;

/// One kind of section: `[boat]`, or `[load.ID]` of which there may be many.
#[derive(Debug)]
pub(super) struct Section {
    pub name: &'static str,
    /// One section, or one for each id.
    pub many: bool,
    /// Whether a boat file may lack it.
    pub required: bool,
    /// What it is for, in words for the chart table.
    pub doc: &'static str,
    pub fields: &'static [Field],
}

/// One key of a section.
#[derive(Debug)]
pub(super) struct Field {
    pub key: &'static str,
    pub what: What,
    pub need: Need,
    pub doc: &'static str,
    /// An example as it stands in the file, without the quotes of plain text.
    pub example: &'static str,
}

/// Whether a key must be there.
#[derive(Clone, Copy, Debug)]
pub(super) enum Need {
    Required,
    Optional,
    /// Required where this other key is not there.
    Unless(&'static str),
    /// What counts when the key is not there, written as an example is.
    Default(&'static str),
}

/// What a value is.
#[derive(Clone, Copy, Debug)]
pub(super) enum What {
    /// Words for people.
    Text,
    /// A day of the calendar.
    Day,
    /// `true` or `false`.
    Flag,
    /// A whole number, at least this.
    Count(u32),
    /// A physical value of one kind.
    Quantity(Kind, Bound),
    /// A power, a current or a resistance.
    Demand,
    /// A value of any kind that an instrument shows.
    Reading,
    /// The address of something in the file, or `boat`.
    About,
    /// A conductor size.
    Size,
    /// A rating, or a table of family and rating.
    Device,
    /// Family ids of devices.
    Families,
    /// Several of these words.
    Words(&'static [&'static str]),
    /// One of these words.
    Choice(&'static [&'static str]),
    /// The id of something else.
    Id(Target),
    /// A list of ids.
    Ids(Target),
    /// A point of the boat.
    Point,
    /// Corner points or places, in order.
    Corners,
    /// A list of boxes, each two opposite corners.
    Boxes,
    /// Hours a day by day profile.
    Hours,
    /// A table of `low` and `high`.
    Ends(Kind),
}

/// What a number must be.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Bound {
    /// Above zero.
    Positive,
    /// Zero or above.
    NotNegative,
    /// Above zero, at most 100 %.
    Share,
    /// From and to, in the base unit.
    Between(f64, f64),
}

/// What an id may name.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Target {
    Space,
    Place,
    Trunk,
    Load,
    Panel,
    /// A source of the kind `converter`.
    Converter,
    /// A source of another kind.
    Charging,
    /// Where circuits may start: a bank, a panel, a converter.
    Feeder,
    /// What has a negative or is metal: a ground, a bank, a panel, a source, a load.
    Ground,
    Bank,
    Cell,
    Delivered,
}

impl Target {
    /// Sections in which the id is looked for.
    pub fn sections(self) -> &'static [&'static str] {
        match self {
            Self::Space => &["space"],
            Self::Place => &["place"],
            Self::Trunk => &["trunk"],
            Self::Load => &["load"],
            Self::Panel => &["panel"],
            Self::Converter | Self::Charging => &["source"],
            Self::Feeder => &["bank", "panel", "source"],
            Self::Ground => &["ground", "bank", "panel", "source", "load"],
            Self::Bank => &["bank"],
            Self::Cell => &["cell"],
            Self::Delivered => &["delivered"],
        }
    }
    /// In words, with the article.
    pub fn words(self) -> &'static str {
        match self {
            Self::Space => "a space",
            Self::Place => "a place",
            Self::Trunk => "a trunk",
            Self::Load => "a load",
            Self::Panel => "a panel",
            Self::Converter => "a source of the kind converter",
            Self::Charging => "a source of the kind alternator, solar or charger",
            Self::Feeder => "a bank, a panel or a converter",
            Self::Ground => "a ground, a bank, a panel, a source or a load",
            Self::Bank => "a bank",
            Self::Cell => "a kind of cell",
            Self::Delivered => "a delivered cell",
        }
    }
}

pub(super) const fn must(key: &'static str, what: What, example: &'static str, doc: &'static str) -> Field {
    Field { key, what, need: Need::Required, doc, example }
}

pub(super) const fn may(key: &'static str, what: What, example: &'static str, doc: &'static str) -> Field {
    Field { key, what, need: Need::Optional, doc, example }
}

/// Required where another key is not there.
pub(super) const fn unless(
    other: &'static str,
    key: &'static str,
    what: What,
    example: &'static str,
    doc: &'static str,
) -> Field {
    Field { key, what, need: Need::Unless(other), doc, example }
}

pub(super) const fn or(key: &'static str, what: What, default: &'static str, doc: &'static str) -> Field {
    Field { key, what, need: Need::Default(default), doc, example: default }
}

impl Field {
    /// An example or default as it stands in the file: plain text in quotes, the rest as it is.
    pub fn in_file(&self, text: &str) -> String {
        let raw = matches!(
            self.what,
            What::Flag
                | What::Count(_)
                | What::Families
                | What::Words(_)
                | What::Ids(_)
                | What::Corners
                | What::Boxes
                | What::Hours
                | What::Ends(_)
        );
        if raw || text.starts_with('{') { text.to_string() } else { format!("\"{text}\"") }
    }

    /// What the value must be, in words.
    pub fn expected(&self) -> String {
        match self.what {
            What::Text => "text in quotes".into(),
            What::Day => crate::day::Day::EXPECTED.into(),
            What::Flag => "true or false, without quotes".into(),
            What::Count(least) => format!("a whole number without quotes, {least} or more"),
            What::Quantity(kind, _) => kind.with_units(),
            What::Demand => {
                "a power (W, kW), a current (A, mA) or a resistance (ohm): '14 W', '19 A', '3 ohm'".into()
            }
            What::Reading => {
                "a voltage, current, resistance, temperature or length with its unit: '0.32 V', '57 degC', '1.15 m'"
                    .into()
            }
            What::About => "section and id of something in this file, such as 'circuit.D1', or 'boat'".into(),
            What::Size => "a conductor size such as '6 AWG', '2/0 AWG', 'SAE 6' or '16 mm2'".into(),
            What::Device => "a rating such as '10 A', or {family = \"iso8820-3-blade\", rating = \"10 A\"}".into(),
            What::Families => "a list of device families: [\"iso8820-3-blade\"]".into(),
            What::Words(words) => format!("a list of some of {}", words.join(", ")),
            What::Choice(words) => format!("one of {}", words.join(", ")),
            What::Id(target) => format!("the id of {}", target.words()),
            What::Ids(target) => format!("a list of ids, each of {}", target.words()),
            What::Point => "a point x, y, z with its unit: '4.35, 0.95, 0.15 m'".into(),
            What::Corners => {
                "a list of two or more corners, each a place's id or a point: [\"BAT\", \"4.9, 0.95, 0.15 m\"]"
                    .into()
            }
            What::Boxes => {
                "a list of boxes, each two opposite corners: [[\"0, -1, 0 m\", \"2, 1, 1.5 m\"]]".into()
            }
            What::Hours => "hours a day by day profile: {anchor = \"2 h\", passage = \"12 h\"}".into(),
            What::Ends(kind) => format!("a table {{low = ..., high = ...}}, each {}", kind.with_units()),
        }
    }
}

impl Section {
    pub fn field(&self, key: &str) -> Option<&'static Field> {
        self.fields.iter().find(|f| f.key == key)
    }
    pub fn keys(&self) -> impl Iterator<Item = &'static str> + Clone {
        self.fields.iter().map(|f| f.key)
    }
}
