//! Enums whose variants are words in boat files and arguments.

/// An enum whose variants are words: `word`, `parse`, `ALL` and `WORDS` come with it.
///
/// ```
/// orlop::choice! {
///     /// A side of the boat.
///     Side {
///         /// Left, looking forward.
///         Port = "port",
///         /// Right, looking forward.
///         Starboard = "starboard",
///     }
/// }
/// assert_eq!(Side::parse("port", "side")?.word(), "port");
/// assert!(Side::parse("left", "side").unwrap_err().to_string().contains("one of port, starboard"));
/// # Ok::<(), orlop::Error>(())
/// ```
#[macro_export]
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
            /// `Error::Input` with the choices.
            pub fn parse(text: &str, field: &str) -> Result<Self, $crate::error::Error> {
                Self::ALL.iter().copied().find(|c| c.word() == text.trim()).ok_or_else(|| {
                    $crate::error::Error::input(field, format!("'{}'", text.trim()), format!("one of {}", Self::WORDS.join(", ")))
                })
            }
        }
    };
}
pub(crate) use choice;
