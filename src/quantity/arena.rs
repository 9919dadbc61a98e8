//! Lists that are looked into by an index of their own kind: a lot's number finds no steel, and a part's no lot.

use std::fmt::Debug;
use std::marker::PhantomData;
use std::ops::{Index, IndexMut, Range};

/// The place of an item in one kind of [`Arena`].
pub trait Id: Copy + Debug {
    /// The id of a place.
    fn of(place: usize) -> Self;
    /// The place of the id.
    fn place(self) -> usize;
}

/// Newtypes around a whole number, each an [`Id`].
macro_rules! ids {
    ($($(#[$about:meta])* $seen:vis struct $name:ident($inside:vis $number:ty);)*) => {$(
        $(#[$about])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
        $seen struct $name($inside $number);

        impl $crate::quantity::Id for $name {
            fn of(place: usize) -> Self {
                match <$number>::try_from(place) {
                    Ok(number) => $name(number),
                    Err(_) => bug!("an arena has no more room: {}", place),
                }
            }
            fn place(self) -> usize {
                self.0 as usize
            }
        }
    )*};
}
pub(crate) use ids;

/// Items in the order in which they came, each found by the id that it was given. Cleared, not freed.
pub struct Arena<I, T> {
    items: Vec<T>,
    ids: PhantomData<I>,
}

impl<I, T: Clone> Clone for Arena<I, T> {
    fn clone(&self) -> Self {
        Arena { items: self.items.clone(), ids: PhantomData }
    }

    /// Keeps the memory that is there.
    fn clone_from(&mut self, other: &Self) {
        self.items.clone_from(&other.items);
    }
}

impl<I, T> Default for Arena<I, T> {
    fn default() -> Self {
        Arena { items: Vec::new(), ids: PhantomData }
    }
}

impl<I, T: Debug> Debug for Arena<I, T> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        self.items.fmt(f)
    }
}

impl<I: Id, T> Arena<I, T> {
    /// Adds an item.
    pub fn push(&mut self, item: T) -> I {
        let id = self.next();
        self.items.push(item);
        id
    }

    /// The id that the next item gets.
    #[must_use]
    pub fn next(&self) -> I {
        I::of(self.items.len())
    }

    /// The item of an id that may come from elsewhere: nothing where there is none.
    #[must_use]
    pub fn find(&self, id: I) -> Option<&T> {
        self.items.get(id.place())
    }

    /// How many items there are.
    #[must_use]
    pub fn len(&self) -> usize {
        self.items.len()
    }

    /// Whether there is none.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.items.is_empty()
    }

    /// Forgets all items, and keeps the memory.
    pub fn clear(&mut self) {
        self.items.clear();
    }

    /// Forgets the items from a place on.
    pub fn truncate(&mut self, len: usize) {
        self.items.truncate(len);
    }

    /// Makes them so many, with copies of an item where there are fewer.
    pub fn resize(&mut self, len: usize, item: T)
    where
        T: Clone,
    {
        self.items.resize(len, item);
    }

    /// The items in order.
    pub fn iter(&self) -> std::slice::Iter<'_, T> {
        self.items.iter()
    }

    /// The items in order, each with its id.
    pub fn pairs(&self) -> impl DoubleEndedIterator<Item = (I, &T)> + ExactSizeIterator {
        self.items.iter().enumerate().map(|(place, item)| (I::of(place), item))
    }

    /// The items of a stretch of places.
    #[must_use]
    pub fn stretch(&self, places: Range<usize>) -> &[T] {
        match self.items.get(places.clone()) {
            Some(items) => items,
            None => bug!("the stretch {:?} of an arena of {}", places, self.items.len()),
        }
    }
}

/// Out of the way of what is looked up a million times a second.
#[cold]
#[track_caller]
fn nothing_at<I: Id>(id: I, len: usize) -> ! {
    bug!("{id:?} in an arena of {len}")
}

impl<I: Id, T> Index<I> for Arena<I, T> {
    type Output = T;

    #[inline]
    #[track_caller]
    fn index(&self, id: I) -> &T {
        match self.items.get(id.place()) {
            Some(item) => item,
            None => nothing_at(id, self.items.len()),
        }
    }
}

impl<I: Id, T> IndexMut<I> for Arena<I, T> {
    #[inline]
    #[track_caller]
    fn index_mut(&mut self, id: I) -> &mut T {
        let len = self.items.len();
        match self.items.get_mut(id.place()) {
            Some(item) => item,
            None => nothing_at(id, len),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::Arena;

    ids! { struct Small(u8); }

    #[test]
    fn an_id_finds_its_item_and_no_other() {
        let mut arena = Arena::<Small, &str>::default();
        let (one, two) = (arena.push("one"), arena.push("two"));
        arena[two] = "2";
        assert_eq!((arena[one], arena[two], arena.find(Small(2))), ("one", "2", None));
        let bug = crate::bug::caught(|| arena[Small(2)].len()).unwrap_err();
        assert_eq!(bug.what, "Small(2) in an arena of 2");
        assert!(bug.place.starts_with("src/quantity/arena.rs:"), "{}", bug.place);
        let bug = crate::bug::caught(|| arena.stretch(1..3).len()).unwrap_err();
        assert_eq!(bug.what, "the stretch 1..3 of an arena of 2");
    }

    #[test]
    fn an_arena_has_no_more_items_than_its_ids_can_tell_apart() {
        let mut arena = Arena::<Small, ()>::default();
        (0..=255).for_each(|_| _ = arena.push(()));
        assert_eq!(crate::bug::caught(|| arena.push(())).unwrap_err().what, "an arena has no more room: 256");
    }
}
