//! What a step is told: clauses, their keys, the sizes and tools that they name, and the shop.

pub(in crate::forge) mod args;
pub(in crate::forge) mod key;
pub(in crate::forge) mod shop;
pub(in crate::forge) mod sizes;
pub(in crate::forge) mod terms;
pub(in crate::forge) mod tool;
pub(in crate::forge) mod tool_kind;
