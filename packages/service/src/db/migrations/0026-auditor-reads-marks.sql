-- The audit makes the marks of readings again from the sheets, and holds those that are stored against them.
grant select on ll.reading_window to ll_auditor;
create policy auditor on ll.reading_window for select to ll_auditor using (true);
