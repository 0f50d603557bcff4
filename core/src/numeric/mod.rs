//! The little numerical analysis that the air's way needs: a monotone curve and a bracketed root.

mod curve;
mod root;

pub use curve::{Curve, CurveError, hermite, monotone_slopes};
pub use root::{Bracket, bracketed_root};

/// Puts a few things in order, rising by what `key` gives; equals stay as they stood.
///
/// By insertion: the standard library's sort is made for millions, and each type that is sorted adds
/// six kilobytes of it to the page.
pub fn put_in_order<T>(things: &mut [T], key: impl Fn(&T) -> f64) {
    for end in 1..things.len() {
        let mut place = end;
        while place > 0
            && key(&things[place - 1])
                .total_cmp(&key(&things[place]))
                .is_gt()
        {
            things.swap(place - 1, place);
            place -= 1;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::put_in_order;

    #[test]
    fn puts_in_order_and_keeps_equals_as_they_stood() {
        let mut things = [(3.0, 'a'), (1.0, 'b'), (3.0, 'c'), (-2.0, 'd'), (1.0, 'e')];
        put_in_order(&mut things, |t| t.0);
        assert_eq!(things.map(|t| t.1), ['d', 'b', 'e', 'a', 'c']);
        put_in_order(&mut [] as &mut [f64], |t| *t);
    }
}
