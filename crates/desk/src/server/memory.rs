//! What is remembered while the program runs, and can be made again from the files: lists of what was used last, and for each room that answers a memory of its own.

use std::any::{Any, TypeId};
use std::collections::BTreeMap;
use std::hash::{DefaultHasher, Hash, Hasher};
use std::sync::{Arc, Mutex, MutexGuard};

/// Arrangements, pages and ladders that are kept: each way that is offered for a phrase is one, whether for all of it or for a measure.
const KEPT: usize = 24;

/// A short list of what was used last.
pub struct Recent<K, V>(Mutex<Vec<(K, V)>>);

impl<K, V> Default for Recent<K, V> {
    fn default() -> Recent<K, V> {
        Recent(Mutex::new(Vec::new()))
    }
}

impl<K: PartialEq, V: Clone> Recent<K, V> {
    /// A value that is there.
    pub fn get(&self, key: &K) -> Option<V> {
        let mut all = locked(&self.0);
        let place = all.iter().position(|(k, _)| k == key)?;
        let found = all.remove(place);
        all.push(found);
        all.last().map(|(_, v)| v.clone())
    }

    /// Whatever is there.
    pub fn keys(&self) -> Vec<K>
    where
        K: Clone,
    {
        locked(&self.0).iter().map(|(key, _)| key.clone()).collect()
    }

    /// Finds a value, or puts one in.
    pub fn put(&self, key: K, value: V) -> V {
        if let Some(there) = self.get(&key) {
            return there;
        }
        let mut all = locked(&self.0);
        all.push((key, value.clone()));
        let over = all.len().saturating_sub(KEPT);
        all.drain(..over);
        value
    }
}

/// The memories of the rooms, by their type: the desk need not know which rooms there are.
#[derive(Default)]
pub struct Memory(Mutex<BTreeMap<TypeId, Arc<dyn Any + Send + Sync>>>);

impl Memory {
    /// The memory of a room; empty at first.
    pub fn of<T: Default + Send + Sync + 'static>(&self) -> Arc<T> {
        let found = locked(&self.0).entry(TypeId::of::<T>()).or_insert_with(|| Arc::new(T::default())).clone();
        found.downcast().unwrap_or_else(|_| unreachable!("it stands at the place of its type"))
    }
}

/// A lock; what a panicking thread left is still whole, because nothing is changed half.
pub fn locked<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(|poisoned| poisoned.into_inner())
}

/// A short name for a content.
pub fn hash(parts: &[&[u8]]) -> String {
    let mut hasher = DefaultHasher::new();
    parts.hash(&mut hasher);
    format!("{:016x}", hasher.finish())
}
