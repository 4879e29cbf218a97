"""How a store of an older version becomes one of this version. A revision that has been released is never edited again."""
