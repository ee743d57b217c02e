//! How a section is declared: each key once, with its kind, its reader and the manual's line.

/// Declares a struct of what was written under some keys. The manual takes its lines from here.
macro_rules! keys {
    ($(#[$doc:meta])* $name:ident { $(#[doc = $help:literal] $key:ident: $kind:ty = $read:expr,)* }) => {
        $(#[$doc])*
        #[derive(Clone, Debug, Default)]
        pub struct $name {
            /// Where the section stands.
            pub span: std::ops::Range<usize>,
            /// Keys that are there but were refused: they are wrong, not missing.
            pub refused: Vec<&'static str>,
            $(#[doc = $help] pub $key: Option<$crate::text::Written<$kind>>,)*
        }

        impl $name {
            /// Each key with the manual's line for it.
            pub const KEYS: &'static [(&'static str, &'static str)] =
                &[$((stringify!($key), $help)),*];

            /// Takes these keys and leaves the rest.
            fn take(section: &mut $crate::text::reader::Section<'_, '_, '_>) -> Self {
                let mut read = Self {
                    span: section.span(),
                    refused: Vec::new(),
                    $($key: section.take(stringify!($key), $read),)*
                };
                $(if read.$key.is_none() && section.has(stringify!($key)) {
                    read.refused.push(stringify!($key));
                })*
                read
            }
        }
    };
}

/// Declares a whole section: [`keys!`] and nothing else may stand in it.
macro_rules! section {
    ($(#[$doc:meta])* $name:ident { $($keys:tt)* }) => {
        keys! { $(#[$doc])* $name { $($keys)* } }

        impl $name {
            pub(in $crate::text) fn read(
                mut section: $crate::text::reader::Section<'_, '_, '_>,
            ) -> Self {
                let read = Self::take(&mut section);
                let known: Vec<&str> = Self::KEYS.iter().map(|key| key.0).collect();
                section.finish(&known);
                read
            }
        }
    };
}

pub(super) use {keys, section};
