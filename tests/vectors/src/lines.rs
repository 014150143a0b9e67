//! What a case may put into a line.

use orangeloom_core::error::Error;

use crate::sample::Sample;

/// How many results go into the fingerprint of one case.
const MANY: u32 = 10_000;
/// The same where one result takes thousands of instructions.
const SOME: u32 = 500;
/// The same where it takes millions.
const FEW: u32 = 20;

/// A result that is neither a number nor an error: nothing settles, nothing holds.
pub(crate) const NONE: u32 = 0xffc1_0000;

/// Takes the lines of all cases.
pub(crate) struct Lines<'a> {
    line: &'a mut dyn FnMut(&str, u32),
}

impl<'a> Lines<'a> {
    pub(crate) fn new(line: &'a mut dyn FnMut(&str, u32)) -> Self {
        Self { line }
    }

    /// One number.
    pub(crate) fn number(&mut self, name: &str, value: f32) {
        (self.line)(name, bits(value));
    }

    /// One result: the quantity, or which error it is.
    pub(crate) fn outcome<T: Into<f32>>(&mut self, name: &str, result: Result<T, Error>) {
        (self.line)(name, outcome(result));
    }

    /// One count, code or fingerprint.
    pub(crate) fn word(&mut self, name: &str, word: u32) {
        (self.line)(name, word);
    }

    /// The same under a name that ends with that of a thing.
    #[cfg(feature = "study")]
    pub(crate) fn named(&mut self, start: &str, name: &str, word: u32) {
        let mut letters = [b'-'; 48];
        let mut end = 0;
        for (place, letter) in letters.iter_mut().zip(start.bytes().chain(name.bytes())) {
            *place = letter;
            end += 1;
        }
        let whole = letters
            .get(..end)
            .and_then(|used| core::str::from_utf8(used).ok());
        self.word(whole.unwrap_or(start), word);
    }

    /// The fingerprint of 10,000 results over the same pseudo-random inputs on
    /// every machine.
    pub(crate) fn many(&mut self, name: &str, case: impl FnMut(&mut Sample) -> u32) {
        self.fingerprint(name, MANY, case);
    }

    /// The fingerprint of 500 results; see [`Self::many`].
    pub(crate) fn some(&mut self, name: &str, case: impl FnMut(&mut Sample) -> u32) {
        self.fingerprint(name, SOME, case);
    }

    /// The fingerprint of 20 results, each of which takes a search.
    pub(crate) fn few(&mut self, name: &str, case: impl FnMut(&mut Sample) -> u32) {
        self.fingerprint(name, FEW, case);
    }

    fn fingerprint(&mut self, name: &str, count: u32, mut case: impl FnMut(&mut Sample) -> u32) {
        let mut sample = Sample::new();
        let mut fingerprint = Fingerprint::default();
        for _ in 0..count {
            fingerprint.add(case(&mut sample));
        }
        self.word(name, fingerprint.finish());
    }
}

/// The bits of a number, all NaN alike: which NaN an operation gives differs
/// between machines, and even between optimisation levels on one.
pub(crate) fn bits(value: f32) -> u32 {
    if value.is_nan() {
        0x7fc0_0000
    } else {
        value.to_bits()
    }
}

/// The bits of a result. An error has the bits of a NaN that [`bits`] never
/// gives, with the code of the error in it.
pub(crate) fn outcome<T: Into<f32>>(result: Result<T, Error>) -> u32 {
    match result {
        Ok(value) => bits(value.into()),
        Err(error) => 0xffc0_0000 | u32::from(error.code()),
    }
}

/// Bits that are there, or which error took their place.
pub(crate) fn word(result: Result<u32, Error>) -> u32 {
    result.unwrap_or_else(|error| outcome(Err::<f32, Error>(error)))
}

/// FNV-1a over whole words; order matters, so swapped results show.
pub(crate) struct Fingerprint(u32);

impl Default for Fingerprint {
    fn default() -> Self {
        Self(0x811c_9dc5)
    }
}

impl Fingerprint {
    pub(crate) fn add(&mut self, word: u32) {
        // The rotation carries the high bits down: a multiplication alone never does.
        self.0 = (self.0 ^ word).wrapping_mul(0x0100_0193).rotate_left(15);
    }

    pub(crate) fn finish(self) -> u32 {
        self.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use orangeloom_core::quantity::Temperature;

    #[test]
    fn one_changed_bit_among_the_results_changes_the_line() {
        let fingerprint = |changed: u32| {
            let mut bits = 0;
            let mut index = 0;
            let mut line = |_: &str, word: u32| bits = word;
            Lines::new(&mut line).many("case", |sample| {
                index += 1;
                let word = sample.word();
                if index == 17 { word ^ changed } else { word }
            });
            bits
        };
        for bit in 0..32 {
            assert_ne!(fingerprint(0), fingerprint(1 << bit), "bit {bit}");
        }
    }

    #[test]
    fn an_error_is_not_mistaken_for_a_number() {
        let refused = outcome(Temperature::from_degc(-300.0));
        assert_ne!(refused, bits(f32::from_bits(refused)));
    }
}
