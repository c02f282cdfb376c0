-- Evaluations as they were recorded, for the day on which the calculation no longer gives them again.

-- Not part of a submission: made afterwards from sheet, context and edition, and kept only where its hash is the one
-- recorded with the test. Canonical JSON, compressed as the name says.
create table ll.evaluation_document (
  test_id uuid primary key,
  firm_id uuid not null,
  encoding text not null check (encoding in ('zstd')),
  body bytea not null,
  kept_at timestamptz not null,
  foreign key (firm_id, test_id) references ll.field_test (firm_id, id)
);
-- Compressed already.
alter table ll.evaluation_document alter column body set storage external;

select ll.keep_append_only('ll.evaluation_document'), ll.wall_in('ll.evaluation_document');

grant insert on ll.evaluation_document to ll_writer;
-- To say "unless it is there" takes reading its key.
grant select (test_id) on ll.evaluation_document to ll_writer;
create policy writer on ll.evaluation_document for insert to ll_writer with check (true);
create policy writer_reads on ll.evaluation_document for select to ll_writer using (true);

grant select on ll.evaluation_document to ll_firm, ll_program, ll_auditor, ll_keeper;
create policy firm on ll.evaluation_document for select to ll_firm using (firm_id = ll.current_firm());
create policy program on ll.evaluation_document for select to ll_program
  using (exists (select from ll.field_test given where given.id = evaluation_document.test_id));
create policy auditor on ll.evaluation_document for select to ll_auditor using (true);
create policy keeper on ll.evaluation_document for select to ll_keeper using (true);
