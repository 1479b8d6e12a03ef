//! Who calls people together, and who is called.

use super::line::{Lines, percent_encoded, quoted};

/// Somebody with an address.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Person {
    /// What they are called.
    pub name: Option<String>,
    /// Their e-mail address.
    pub address: String,
}

impl Person {
    /// A property whose value is a calendar address (RFC 5545, 3.3.3), with further parameters.
    pub(super) fn write(&self, lines: &mut Lines, property: &str) {
        let mut property = property.to_owned();
        if let Some(name) = &self.name {
            property.push_str(";CN=");
            property.push_str(&quoted(name));
        }
        // What RFC 6068 lets stand in an address.
        let address = percent_encoded(&self.address, |byte| b"!$'*+@".contains(&byte));
        lines.put(&property, &format!("mailto:{address}"));
    }
}
