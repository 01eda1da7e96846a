//! Where a number comes from, and how far it can be trusted.

use std::borrow::Cow;

/// How far a source can be trusted. The order is from strong to weak.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Confidence {
    /// Read in the document or in a copy of it; the citation's `reading` says how many copies.
    Published,
    /// What the trade does, with no document behind it.
    CommonPractice,
    /// Remembered; no copy was seen. Check against the document before relying on it.
    Memory,
}

impl Confidence {
    /// The word that files and papers use.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Published => "published",
            Self::CommonPractice => "common practice",
            Self::Memory => "from memory",
        }
    }

    /// Reads the word of a data file: `published`, `common-practice`, `memory`.
    #[must_use]
    pub fn parse(text: &str) -> Option<Self> {
        match text {
            "published" => Some(Self::Published),
            "common-practice" => Some(Self::CommonPractice),
            "memory" => Some(Self::Memory),
            _ => None,
        }
    }

    /// The weaker of two: what a result rests on.
    #[must_use]
    pub fn weaker(self, other: Self) -> Self {
        self.max(other)
    }
}

/// A document, the place in it, and how far we trust our copy.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
pub struct Citation {
    /// Short name, unique: `cfr33-183-425-table5`.
    pub id: Cow<'static, str>,
    /// The document: "33 CFR 183.425".
    pub document: Cow<'static, str>,
    /// Its edition, or empty.
    pub edition: Cow<'static, str>,
    /// Clause or table, or empty.
    pub place: Cow<'static, str>,
    /// What it says, in a few words.
    pub title: Cow<'static, str>,
    /// How far it can be trusted.
    pub confidence: Confidence,
    /// How it was read: "two independent copies", "one copy", "recalled", "computed".
    pub reading: Cow<'static, str>,
}

impl Citation {
    /// A citation that is known when the program is built.
    #[must_use]
    pub const fn fixed(
        id: &'static str,
        document: &'static str,
        edition: &'static str,
        place: &'static str,
        title: &'static str,
        confidence: Confidence,
        reading: &'static str,
    ) -> Self {
        Self {
            id: Cow::Borrowed(id),
            document: Cow::Borrowed(document),
            edition: Cow::Borrowed(edition),
            place: Cow::Borrowed(place),
            title: Cow::Borrowed(title),
            confidence,
            reading: Cow::Borrowed(reading),
        }
    }

    /// One line: document, edition, place, and the confidence where it is not `published`.
    #[must_use]
    pub fn short(&self) -> String {
        let mut text = self.document.to_string();
        if !self.edition.is_empty() {
            text += &format!(":{}", self.edition);
        }
        if !self.place.is_empty() {
            text += &format!(", {}", self.place);
        }
        if self.confidence != Confidence::Published {
            text += &format!(" ({})", self.confidence.word());
        }
        text
    }
}

impl std::fmt::Display for Citation {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.short())
    }
}
