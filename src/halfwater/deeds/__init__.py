"""The shell: one function a deed, always gather (queries), decide (science, planning), apply (changes)."""
