//! Undo and redo: the list of builds. An edit that goes on (typing in one field) is one step.

use std::sync::Arc;

/// Steps kept.
const MOST: usize = 200;

/// The builds before and after the one that stands.
#[derive(Debug)]
pub struct History<T> {
    past: Vec<Arc<T>>,
    future: Vec<Arc<T>>,
    going_on: Option<&'static str>,
}

impl<T> Default for History<T> {
    fn default() -> Self {
        Self {
            past: Vec::new(),
            future: Vec::new(),
            going_on: None,
        }
    }
}

impl<T> History<T> {
    /// Notes that `before` gives way to another. Edits under one `key` are one step until
    /// [`History::pause`].
    pub fn edit(&mut self, before: Arc<T>, key: &'static str) {
        if self.going_on != Some(key) || self.past.is_empty() {
            self.past.push(before);
            if self.past.len() > MOST {
                self.past.remove(0);
            }
        }
        self.going_on = Some(key);
        self.future.clear();
    }

    /// Ends the edit that goes on: the next one is a step of its own.
    pub fn pause(&mut self) {
        self.going_on = None;
    }

    /// The one before, if there is one; `now` can be had back with [`History::redo`].
    pub fn undo(&mut self, now: Arc<T>) -> Option<Arc<T>> {
        let before = self.past.pop()?;
        self.future.push(now);
        self.pause();
        Some(before)
    }

    /// The one that was undone last, if there is one.
    pub fn redo(&mut self, now: Arc<T>) -> Option<Arc<T>> {
        let after = self.future.pop()?;
        self.past.push(now);
        self.pause();
        Some(after)
    }

    /// Changes every one that was noted.
    pub fn change(&mut self, change: impl Fn(&mut Arc<T>)) {
        self.past.iter_mut().for_each(&change);
        self.future.iter_mut().for_each(&change);
    }

    /// Whether there is something to undo, and to redo.
    pub fn can(&self) -> (bool, bool) {
        (!self.past.is_empty(), !self.future.is_empty())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn typing_in_one_field_is_one_step() {
        let mut history = History::default();
        history.edit(Arc::new(1), "boost");
        history.edit(Arc::new(2), "boost");
        history.pause();
        history.edit(Arc::new(3), "boost");
        assert_eq!(history.undo(Arc::new(4)).as_deref(), Some(&3));
        assert_eq!(history.undo(Arc::new(3)).as_deref(), Some(&1));
        assert_eq!(history.undo(Arc::new(1)), None);
        assert_eq!(history.redo(Arc::new(1)).as_deref(), Some(&3));
        assert_eq!(history.redo(Arc::new(3)).as_deref(), Some(&4));
    }

    #[test]
    fn an_edit_after_undo_forgets_what_was_undone() {
        let mut history = History::default();
        history.edit(Arc::new(1), "a");
        assert!(history.undo(Arc::new(2)).is_some());
        history.edit(Arc::new(1), "b");
        assert_eq!(history.can(), (true, false));
    }
}
