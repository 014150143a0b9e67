//! The names of aspects: what a finding holds against what, in one word.

use orangeloom_core::review::Aspect;

/// The name of an aspect, as JSON has it.
pub(crate) fn slug(aspect: Aspect) -> String {
    match serde_json::to_value(aspect) {
        Ok(serde_json::Value::String(slug)) => slug,
        _ => String::new(),
    }
}

/// The aspect of a name.
pub(crate) fn find(name: &str) -> Option<Aspect> {
    let mut all = Aspect::ALL.iter().copied();
    all.find(|aspect| slug(*aspect) == name)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_aspect_is_found_by_its_name() {
        for aspect in Aspect::ALL {
            assert_eq!(find(&slug(*aspect)), Some(*aspect));
        }
        assert_eq!(slug(Aspect::DropOff), "drop-off");
        assert_eq!(find(""), None);
    }
}
