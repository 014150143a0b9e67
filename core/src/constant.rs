//! Quantities that are known when the program is built.

/// A quantity known when the program is built; a value outside its bounds does
/// not compile.
macro_rules! constant {
    ($quantity:expr) => {
        const {
            match $quantity {
                Ok(value) => value,
                Err(_) => panic!("constant outside its bounds"),
            }
        }
    };
}
