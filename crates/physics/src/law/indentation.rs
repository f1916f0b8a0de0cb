//! Size of indentations, least thickness and corrections on round surfaces.
