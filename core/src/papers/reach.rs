//! What can be reached from where along a relation.

/// What can be reached from where.
pub(super) struct Reach {
    words: usize,
    rows: Vec<u64>,
}

impl Reach {
    pub(super) fn of(count: usize, above: &[(usize, usize)]) -> Self {
        let words = count.div_ceil(64).max(1);
        let mut rows = vec![0u64; count * words];
        for &(one, other) in above {
            if one < count && other < count {
                rows[one * words + other / 64] |= 1 << (other % 64);
            }
        }
        // Warshall 1962: by way of each piece in turn.
        for by in 0..count {
            let through: Vec<u64> = rows[by * words..(by + 1) * words].to_vec();
            for from in 0..count {
                if rows[from * words + by / 64] >> (by % 64) & 1 == 1 {
                    for (word, more) in rows[from * words..(from + 1) * words].iter_mut().zip(&through) {
                        *word |= more;
                    }
                }
            }
        }
        Self { words, rows }
    }

    pub(super) fn leads(&self, from: usize, to: usize) -> bool {
        self.rows[from * self.words + to / 64] >> (to % 64) & 1 == 1
    }
}
