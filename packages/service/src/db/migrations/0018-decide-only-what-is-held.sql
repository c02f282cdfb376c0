-- A program decides only on a test that it has and that is open, also where the test is taken back or closed while the
-- decision is on its way: looked at again behind the head of the ledger, whose order is what the record shows.
grant select (test_id) on ll.test_closure to ll_writer;
create policy writer_finds on ll.test_closure for select to ll_writer using (true);

-- As in 0013. LL002, with nothing stored, where the program has the test no more or the test was closed.
create or replace function ll.write_decision(
  decision uuid, firm uuid, test uuid, program uuid, about text, of_run smallint, at_place text, this_turn smallint,
  said text, hash bytea, words_salt bytea, words_body bytea, key text, at timestamptz, entry_bytes bytea, leaf bytea
) returns bigint language plpgsql as $$
begin
  perform from ll.ledger_head for update;
  if exists (select from ll.test_closure closure where closure.test_id = test)
     or 'given' is distinct from (select given.consent from ll.test_program given
                                  where given.test_id = test and given.program_id = program
                                  order by given.turn desc limit 1) then
    raise exception 'not to be decided any more' using errcode = 'LL002';
  end if;
  insert into ll.finding_decision (id, firm_id, test_id, program_id, finding, run, place, turn, outcome, sha256, salt,
                                   words, leaf_hash, key_id, decided_at)
    values (decision, firm, test, program, about, of_run, at_place, this_turn, said, hash, words_salt, words_body,
            leaf, key, at);
  return ll.append_entry('finding-decision', firm, test, entry_bytes, leaf);
end $$;
