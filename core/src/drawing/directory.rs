//! A TIFF directory: classic (TIFF 6.0, section 2) or with 64-bit offsets. What lies outside the file reads as absent.

/// A TIFF directory: where its entries stand and how they are written.
pub(super) struct Directory<'a> {
    bytes: &'a [u8],
    little: bool,
    /// 64-bit offsets.
    big: bool,
    entries: usize,
    count: usize,
}

impl<'a> Directory<'a> {
    pub(super) fn first(bytes: &'a [u8]) -> Option<Self> {
        let (little, big) = (bytes.starts_with(b"II"), matches!(bytes.get(2..4), Some(b"+\0" | b"\0+")));
        let mut directory = Self { bytes, little, big, entries: 0, count: 0 };
        let at = usize::try_from(if big { directory.number(8, 8)? } else { directory.number(4, 4)? }).ok()?;
        let counter = if big { 8 } else { 2 };
        directory.count = usize::try_from(directory.number(at, counter)?).ok()?.min(4096);
        directory.entries = at.checked_add(counter)?;
        Some(directory)
    }

    fn number(&self, at: usize, size: usize) -> Option<u64> {
        let field = self.bytes.get(at..at.checked_add(size)?)?;
        let push = |n: u64, b: &u8| n << 8 | u64::from(*b);
        Some(if self.little { field.iter().rev().fold(0, push) } else { field.iter().fold(0, push) })
    }

    /// Width of an entry, and of the value or offset at its end.
    fn widths(&self) -> (usize, usize) {
        if self.big { (20, 8) } else { (12, 4) }
    }

    /// Type and position of a tag's value field.
    fn find(&self, tag: u64) -> Option<(u64, usize)> {
        let (entry, field) = self.widths();
        (0..self.count).map_while(|i| self.entries.checked_add(i * entry)).find_map(|at| {
            if self.number(at, 2)? != tag {
                return None;
            }
            Some((self.number(at + 2, 2)?, at + entry - field))
        })
    }

    /// The values of a tag of bytes, shorts, longs or 64-bit numbers: width of one, how many, and where; those that don't fit the field
    /// stand at its offset.
    fn list(&self, tag: u64) -> Option<(usize, usize, usize)> {
        let (entry, field) = self.widths();
        let (kind, at) = self.find(tag)?;
        let size = match kind {
            1 | 7 => 1,
            3 => 2,
            4 | 13 => 4,
            16 | 18 => 8,
            _ => return None,
        };
        let count = usize::try_from(self.number(at + field - entry + 4, entry - 4 - field)?).ok()?;
        let at = if count.checked_mul(size)? > field { usize::try_from(self.number(at, field)?).ok()? } else { at };
        Some((size, count, at))
    }

    /// The first value of a tag.
    pub(super) fn value(&self, tag: u64) -> Option<u64> {
        let (size, count, at) = self.list(tag)?;
        (count > 0).then(|| self.number(at, size))?
    }

    /// All values of a tag, if every one is in the file.
    pub(super) fn values(&self, tag: u64) -> Option<Vec<u64>> {
        let (size, count, at) = self.list(tag)?;
        if at.checked_add(count.checked_mul(size)?)? > self.bytes.len() {
            return None;
        }
        (0..count).map(|i| self.number(at + i * size, size)).collect()
    }

    /// The bytes of a tag.
    pub(super) fn data(&self, tag: u64) -> Option<&'a [u8]> {
        let (size, count, at) = self.list(tag)?;
        (size == 1).then(|| self.bytes.get(at..at.checked_add(count)?))?
    }

    /// Whether the data of tags that are looked for reaches beyond the file's end: it was cut off.
    pub(super) fn cut(&self, tags: &[u64]) -> bool {
        let (entry, field) = self.widths();
        let end = self.count.checked_mul(entry).and_then(|span| self.entries.checked_add(span)?.checked_add(field));
        let beyond = |end: Option<usize>| end.is_none_or(|end| end > self.bytes.len());
        let ends = |tag: &u64| match (self.list(*tag), self.find(*tag)) {
            (Some((size, count, at)), _) => beyond(count.checked_mul(size).and_then(|span| at.checked_add(span))),
            (None, Some((5, at))) => beyond(self.number(at, field).and_then(|at| usize::try_from(at).ok()?.checked_add(8))) && !self.big,
            _ => false,
        };
        beyond(end) || tags.iter().any(ends)
    }

    /// Whether numbers stand with their low byte first.
    pub(super) fn little(&self) -> bool {
        self.little
    }

    /// Where a tag's first value stands, if it is in the entry itself, and its width.
    pub(super) fn place(&self, tag: u64) -> Option<(usize, usize)> {
        let (size, count, at) = self.list(tag)?;
        (count == 1).then_some((at, size))
    }

    /// A rational.
    pub(super) fn ratio(&self, tag: u64) -> Option<f64> {
        let (kind, at) = self.find(tag)?;
        let at = if self.big { at } else { usize::try_from(self.number(at, 4)?).ok()? };
        let (over, under) = (self.number(at, 4)?, self.number(at.checked_add(4)?, 4)?);
        (kind == 5 && under > 0).then(|| over as f64 / under as f64)
    }

    /// Whether another directory follows.
    pub(super) fn next(&self) -> bool {
        let (entry, field) = self.widths();
        let end = self.count.checked_mul(entry).and_then(|span| self.entries.checked_add(span));
        end.and_then(|end| self.number(end, field)).is_some_and(|next| next != 0)
    }
}
