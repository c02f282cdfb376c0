-- Rule sets of programs, as versions that are drafted, published by a second person and never changed again; and dry
-- runs of drafts over stored tests.

-- The person who holds a credential, by a code of the office that hands it out: two keys of one code are one person.
-- A code and no name. Without one a credential speaks for nobody in particular, and takes no part where two persons
-- are asked for.
alter table ll.api_key add column holder ll.code;
alter table ll.token_principal add column holder ll.code;
grant select (holder) on ll.api_key to ll_admin, ll_auditor;

create table ll.rule_set (
  id uuid primary key,
  program_id uuid not null references ll.program,
  -- The rules, as canonical JSON, and their hash; the days are repeated for the order of versions.
  content bytea not null check (octet_length(content) between 2 and 500000),
  content_sha256 ll.digest not null,
  version integer not null check (version between 1 and 10000),
  in_force_from date not null,
  in_force_to date not null,
  paused_from date,
  -- Everyone who wrote on it, and with which keys: of these nobody publishes it.
  authors text[] not null check (cardinality(authors) between 1 and 50),
  author_keys text[] not null check (cardinality(author_keys) between 1 and 100),
  drafted_at timestamptz not null,
  changed_at timestamptz not null,
  publisher_key text,
  publisher ll.code,
  published_at timestamptz,
  -- The dry run that was looked at before.
  dry_run_id uuid,
  -- Salted hash of who wrote and who published it, which stands in the ledger in place of their codes.
  salt bytea check (octet_length(salt) = 16),
  people_sha256 ll.digest,
  -- Of its entry in the ledger.
  leaf_hash bytea unique check (octet_length(leaf_hash) = 32),
  ledger_index bigint unique,
  unique (program_id, id),
  constraint rule_set_hash_check check (sha256(content) = content_sha256),
  constraint rule_set_window_check check (in_force_from <= in_force_to or published_at is null),
  constraint rule_set_two_persons_check check (publisher <> all (authors) and publisher_key <> all (author_keys)),
  constraint rule_set_published_check
    check (num_nulls(publisher_key, publisher, published_at, dry_run_id, salt, people_sha256, leaf_hash, ledger_index)
           in (0, 8))
);
-- The published versions of a program, in order: where program_id = … order by version.
create unique index rule_set_version on ll.rule_set (program_id, version) where published_at is not null;
-- All of a program, drafts too: where program_id = … order by id.
create index rule_set_program on ll.rule_set (program_id, id);

-- What is published stays as it is, and nothing is deleted.
create function ll.only_change_drafts() returns trigger language plpgsql as $$
begin
  if old.published_at is null
     and row(new.id, new.program_id, new.drafted_at) is not distinct from row(old.id, old.program_id, old.drafted_at) then
    return new;
  end if;
  raise exception 'a published rule set is never changed' using errcode = '55000';
end $$;
revoke execute on function ll.only_change_drafts from public;
create trigger only_change_drafts before update on ll.rule_set for each row execute function ll.only_change_drafts();
create trigger append_only before delete or truncate on ll.rule_set
  for each statement execute function ll.refuse_change();
alter table ll.rule_set enable always trigger only_change_drafts;
alter table ll.rule_set enable always trigger append_only;

-- A draft judges the tests that the program has: what would change. Kept, since publication leans on it.
create table ll.rule_set_dry_run (
  id uuid primary key,
  program_id uuid not null,
  rule_set_id uuid not null,
  -- Of the draft as it was judged by.
  content_sha256 ll.digest not null,
  key_id text not null,
  started_at timestamptz not null,
  -- When it was last heard of. One that is silent for long has ended with its process.
  beat_at timestamptz not null,
  finished_at timestamptz,
  failed text check (length(failed) between 1 and 500),
  judged integer not null default 0 check (judged >= 0),
  -- Counts and sums; see DryRunSummary in the API description.
  summary json,
  unique (program_id, id),
  foreign key (program_id, rule_set_id) references ll.rule_set (program_id, id),
  constraint rule_set_dry_run_end_check
    check (case when finished_at is null then failed is null and summary is null
                else (failed is null) = (summary is not null) end)
);
create index rule_set_dry_run_rule_set on ll.rule_set_dry_run (rule_set_id, id);

-- What would change for one test.
create table ll.rule_set_dry_run_change (
  program_id uuid not null,
  dry_run_id uuid not null,
  test_id uuid not null,
  -- {"before"?, "after"}: soundness, eligibility, amount, payable of each.
  change json not null,
  primary key (dry_run_id, test_id),
  foreign key (program_id, dry_run_id) references ll.rule_set_dry_run (program_id, id)
);

select ll.keep_append_only('ll.rule_set_dry_run_change');
create function ll.only_go_on() returns trigger language plpgsql as $$
begin
  if old.finished_at is null and new.judged >= old.judged
     and row(new.id, new.program_id, new.rule_set_id, new.content_sha256, new.key_id, new.started_at)
         is not distinct from
         row(old.id, old.program_id, old.rule_set_id, old.content_sha256, old.key_id, old.started_at) then
    return new;
  end if;
  raise exception 'a dry run goes on until it ends, and is not changed otherwise' using errcode = '55000';
end $$;
revoke execute on function ll.only_go_on from public;
create trigger only_go_on before update on ll.rule_set_dry_run for each row execute function ll.only_go_on();
create trigger append_only before delete or truncate on ll.rule_set_dry_run
  for each statement execute function ll.refuse_change();
alter table ll.rule_set_dry_run enable always trigger only_go_on;
alter table ll.rule_set_dry_run enable always trigger append_only;

select ll.wall_in(t)
  from unnest(array['ll.rule_set', 'll.rule_set_dry_run', 'll.rule_set_dry_run_change']::regclass[]) t;

-- Program: its own, drafts too. It writes drafts, and never what publication fills in.
grant select, insert (id, program_id, content, content_sha256, version, in_force_from, in_force_to, paused_from, authors,
                      author_keys, drafted_at, changed_at),
      update (content, content_sha256, version, in_force_from, in_force_to, paused_from, authors, author_keys,
              changed_at)
  on ll.rule_set to ll_program;
grant select, insert, update (beat_at, finished_at, failed, judged, summary) on ll.rule_set_dry_run to ll_program;
grant select, insert on ll.rule_set_dry_run_change to ll_program;
create policy program on ll.rule_set for all to ll_program
  using (program_id = ll.current_program()) with check (program_id = ll.current_program());
create policy program on ll.rule_set_dry_run for all to ll_program
  using (program_id = ll.current_program()) with check (program_id = ll.current_program());
create policy program on ll.rule_set_dry_run_change for all to ll_program
  using (program_id = ll.current_program()) with check (program_id = ll.current_program());

-- What is published is for everybody: growers too, who have no key. Who wrote it is not told.
grant select (id, program_id, content, content_sha256, version, in_force_from, in_force_to, paused_from, published_at,
              ledger_index)
  on ll.rule_set to ll_firm, ll_keeper, ll_integrator;
create policy firm on ll.rule_set for select to ll_firm using (published_at is not null);
create policy keeper on ll.rule_set for select to ll_keeper using (published_at is not null);
create policy public_reads on ll.rule_set for select to ll_integrator using (published_at is not null);

grant select on ll.rule_set, ll.rule_set_dry_run, ll.rule_set_dry_run_change to ll_auditor;
create policy auditor on ll.rule_set for select to ll_auditor using (true);
create policy auditor on ll.rule_set_dry_run for select to ll_auditor using (true);
create policy auditor on ll.rule_set_dry_run_change for select to ll_auditor using (true);

-- Writer: publishes.
grant select, update (publisher_key, publisher, published_at, dry_run_id, salt, people_sha256, leaf_hash, ledger_index)
  on ll.rule_set to ll_writer;
create policy writer on ll.rule_set for all to ll_writer using (true) with check (true);

-- Publishes a draft as it was read. LL003, with nothing stored, where the draft is another by now or was published, or
-- where another version was published meanwhile that it does not follow: looked at behind the head of the ledger, which
-- is one publication after the other. The checks of the rules themselves are the caller's.
create function ll.publish_rule_set(rules uuid, program uuid, hash bytea, last_version integer, by_key text, by_person text,
                                    at timestamptz, dry_run uuid, people_salt bytea, people_hash bytea,
                                    entry_bytes bytea, leaf bytea) returns bigint language plpgsql as $$
declare
  place bigint;
begin
  perform from ll.ledger_head for update;
  if last_version is distinct from (select max(version) from ll.rule_set
                                    where program_id = program and published_at is not null)
     or not exists (select from ll.rule_set where id = rules and program_id = program and content_sha256 = hash
                                                  and published_at is null) then
    raise exception 'not as it was read' using errcode = 'LL003';
  end if;
  place := ll.append_entry('rule-set', null, null, entry_bytes, leaf);
  update ll.rule_set set publisher_key = by_key, publisher = by_person, published_at = at, dry_run_id = dry_run,
                         salt = people_salt, people_sha256 = people_hash, leaf_hash = leaf, ledger_index = place
    where id = rules;
  return place;
end $$;
revoke execute on function ll.publish_rule_set from public;
grant execute on function ll.publish_rule_set to ll_writer;

-- A program finds the entries of its own rule sets.
alter policy program on ll.ledger_entry
  using (kind not in ('note', 'note-erased', 'finding-decision', 'finding-decision-erased', 'rule-set')
         and exists (select from ll.field_test given where given.id = ledger_entry.subject)
         or kind = 'finding-decision'
            and exists (select from ll.finding_decision own where own.leaf_hash = ledger_entry.leaf_hash)
         or kind = 'rule-set' and exists (select from ll.rule_set own where own.leaf_hash = ledger_entry.leaf_hash));
