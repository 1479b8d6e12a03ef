//! On which line of a text a record begins.

/// Tells on which line of a text a record begins.
pub(super) struct LineCounter<'a> {
    text: &'a [u8],
    at: usize,
    line: usize,
}

impl<'a> LineCounter<'a> {
    pub(super) const fn of(text: &'a str) -> Self {
        Self {
            text: text.as_bytes(),
            at: 0,
            line: 1,
        }
    }

    /// Records come in order. What lies before one may be the rest of a line's end, or blank
    /// lines, which are no records.
    pub(super) fn of_record_at(&mut self, start: usize) -> usize {
        let ends = |at: usize| {
            self.text
                .get(at)
                .is_some_and(|b| matches!(b, b'\r' | b'\n'))
        };
        let mut start = start.min(self.text.len());
        while ends(start) {
            start += 1;
        }
        while self.at < start {
            let lone_return =
                self.text[self.at] == b'\r' && self.text.get(self.at + 1) != Some(&b'\n');
            if self.text[self.at] == b'\n' || lone_return {
                self.line += 1;
            }
            self.at += 1;
        }
        self.line
    }
}
