//! Enums whose variants are words in boat files and arguments.

macro_rules! choice {
    ($(#[$meta:meta])* $name:ident { $($(#[$doc:meta])* $variant:ident = $word:literal),* $(,)? }) => {
        $(#[$meta])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize)]
        #[serde(rename_all = "kebab-case")]
        pub enum $name { $($(#[$doc])* $variant),* }

        impl $name {
            /// All choices.
            pub const ALL: &'static [Self] = &[$(Self::$variant),*];
            /// The words of all choices.
            pub const WORDS: &'static [&'static str] = &[$($word),*];
            /// The word in boat files and arguments.
            #[must_use]
            pub fn word(self) -> &'static str { match self { $(Self::$variant => $word),* } }
            /// Reads the word.
            ///
            /// # Errors
            /// [`crate::Error::Input`] with the choices.
            pub fn parse(text: &str, field: &str) -> Result<Self, $crate::error::Error> {
                Self::ALL.iter().copied().find(|c| c.word() == text.trim()).ok_or_else(|| {
                    $crate::error::Error::input(field, format!("'{}'", text.trim()), format!("one of {}", Self::WORDS.join(", ")))
                })
            }
        }
    };
}
pub(crate) use choice;
