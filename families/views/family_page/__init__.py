"""The family's own page by signed link, in the guardian's language. A GET shows; each action has its own address."""
