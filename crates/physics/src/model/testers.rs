//! What each hardness scale would read on a layered case.
