//! Things that belong together, found by joining them two at a time (disjoint sets; Galler and Fischer, Comm.
//! ACM 7 (1964) 301).

/// Sets of the numbers 0..n.
pub struct Groups {
    /// A smaller member of the same set, or the number itself.
    smaller: Vec<u32>,
}

impl Groups {
    /// Every number by itself.
    pub fn new(count: usize) -> Self {
        Self { smaller: (0..count as u32).collect() }
    }

    /// The smallest member of a set.
    pub fn first(&mut self, member: usize) -> usize {
        let mut at = member;
        while self.smaller[at] as usize != at {
            let next = self.smaller[at] as usize;
            self.smaller[at] = self.smaller[next];
            at = next;
        }
        at
    }

    /// Makes one set of two.
    pub fn join(&mut self, one: usize, other: usize) {
        let (one, other) = (self.first(one), self.first(other));
        self.smaller[one.max(other)] = one.min(other) as u32;
    }

    /// The number of each member's set, in the order of first members, and how many there are.
    pub fn numbered(mut self) -> (Vec<u32>, usize) {
        let mut count = 0;
        let mut number = vec![0; self.smaller.len()];
        for member in 0..number.len() {
            let first = self.first(member);
            number[member] = if first == member {
                count += 1;
                count - 1
            } else {
                number[first]
            };
        }
        (number, count as usize)
    }
}
