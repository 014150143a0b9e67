//! Lists of names with the words that people read.

/// Makes an enumeration of each list: every name, all of them in order, and with the
/// `text` feature the words of each.
macro_rules! worded {
    ($( $(#[$outer:meta])* $list:ident { $( $(#[$doc:meta])* $name:ident: $words:literal; )* } )*) => { $(
        $(#[$outer])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
        #[cfg_attr(feature = "defmt", derive(defmt::Format))]
        #[cfg_attr(
            feature = "serde",
            derive(serde::Serialize),
            serde(rename_all = "kebab-case")
        )]
        #[repr(u8)]
        pub enum $list {
            $( $(#[$doc])* $name, )*
        }

        impl $list {
            /// Every one, in order.
            pub const ALL: &'static [Self] = &[ $( Self::$name, )* ];

            /// In words for a builder.
            #[cfg(feature = "text")]
            pub const fn words(self) -> &'static str {
                match self { $( Self::$name => $words, )* }
            }
        }
    )* };
}
