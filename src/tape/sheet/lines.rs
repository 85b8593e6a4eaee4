//! The plain text under the table: its delimiter and its line numbers.

/// The delimiter that stands most often in the header.
///
/// Only the header is looked at: in the rows a comma may be a decimal one.
pub(super) fn delimiter(text: &str) -> u8 {
    let header = text
        .lines()
        .find(|line| !line.trim().is_empty() && !line.starts_with('#'))
        .unwrap_or("");
    let count = |delimiter: u8| header.bytes().filter(|&b| b == delimiter).count();
    // On equal counts the last one wins, so comma stands last.
    [b'\t', b';', b',']
        .into_iter()
        .max_by_key(|&delimiter| count(delimiter))
        .unwrap_or(b',')
}

/// Lines of rising byte offsets; the CSV reader's own count starts at the
/// blank lines and remarks before a record.
pub(super) struct LineCounter<'a> {
    text: &'a str,
    byte: usize,
    line: u64,
}

impl<'a> LineCounter<'a> {
    pub(super) fn new(text: &'a str) -> Self {
        Self {
            text,
            byte: 0,
            line: 1,
        }
    }

    /// Line of the record that starts at or, after blank lines and remarks, behind `byte`.
    pub(super) fn line_of(&mut self, byte: u64) -> u64 {
        let byte = usize::try_from(byte).map_or(self.text.len(), |b| b.min(self.text.len()));
        while let Some((line_end, skipped)) = self.rest_of_line() {
            if self.byte >= byte && !skipped {
                break;
            }
            self.byte = line_end;
            self.line += 1;
        }
        self.line
    }

    /// End of the current line, and whether no record can start in it.
    fn rest_of_line(&self) -> Option<(usize, bool)> {
        let rest = self.text.get(self.byte..)?;
        let end = rest.find('\n')?;
        let line = &rest[..end];
        let skipped = line.trim_end_matches('\r').is_empty() || line.starts_with('#');
        Some((self.byte + end + 1, skipped))
    }
}
