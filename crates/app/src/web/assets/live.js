// The one module every page loads. Everything works without it; it only makes waiting shorter.

export {};
