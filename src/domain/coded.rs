//! Enumerations that go by a stable code, the same in JSON, in the store and in wording.

/// Declares a field-less enumeration whose variants each have a code.
///
/// One table, so that the code written to JSON and the code asked for cannot drift apart.
macro_rules! coded {
    (
        $(#[$doc:meta])*
        $name:ident { $($(#[$variant_doc:meta])* $variant:ident = $code:literal),+ $(,)? }
    ) => {
        $(#[$doc])*
        #[derive(
            Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash,
            serde::Serialize, serde::Deserialize,
        )]
        pub enum $name {
            $($(#[$variant_doc])* #[serde(rename = $code)] $variant),+
        }

        impl $name {
            /// Every value, in the order of declaration.
            pub const ALL: &'static [Self] = &[$(Self::$variant),+];

            /// The stable code: it never changes and is never used again for something else.
            #[must_use]
            pub const fn code(self) -> &'static str {
                match self { $(Self::$variant => $code),+ }
            }

            /// The value with this code.
            #[must_use]
            pub fn from_code(code: &str) -> Option<Self> {
                Self::ALL.iter().copied().find(|value| value.code() == code)
            }
        }
    };
}

pub(crate) use coded;
