//! Who may sign for what: never one's own text as somebody else's eyes, never a student's approval.
