/**
 * A database full of tests, made in seconds: one real submission, repeated by SQL under other ids, firms, plants and
 * days. Invented throughout. Foreign keys and checks hold; only their checking, row by row, is spared.
 */
import type pg from 'pg'

/** What is repeated. */
export interface Sample {
  readonly raw: Buffer
  readonly context: Buffer
  readonly salt: Buffer
  readonly findings: readonly { readonly id: string; readonly severity: string; readonly place: string }[]
  readonly entry: Buffer
  readonly leafHash: Buffer
}

export interface Size {
  readonly tests: number
  readonly firms: number
  readonly programs: number
  readonly plantsPerFirm: number
}

/** Ids are numbers with a letter in front, so that who is who can be worked out: firm 3 is `f0000000-…-000000000003`. */
export const idOf = (kind: 'firm' | 'program' | 'plant' | 'tester' | 'test', n: number): string =>
  `${{ firm: 'f', program: 'e', plant: 'd', tester: 'c', test: 'a' }[kind]}0000000-0000-7000-8000-${n.toString(16).padStart(12, '0')}`

const id = (kind: Parameters<typeof idOf>[0], n: string): string =>
  `overlay('${idOf(kind, 0)}' placing lpad(to_hex(${n}), 12, '0') from 25)::uuid`

/** Tests of firm 0 are few: what is fast for most may be slow for them. */
const FEW = 10

/** As a superuser, in an empty migrated database. Test n belongs to firm n mod firms, was made n / 13 days after 2005-01-01. */
export async function fill(client: pg.Client, size: Size, sample: Sample): Promise<void> {
  const { tests, firms, programs, plantsPerFirm } = size
  // The number of the firm a test belongs to.
  const firm = `(case when n < ${FEW} then 0 else 1 + n % ${firms - 1} end)`
  const plant = `(${firm} * ${plantsPerFirm} + (n / ${firms}) % ${plantsPerFirm})`
  const day = `(date '2005-01-01' + (n / 13) % 7000)`
  await client.query('begin')
  // Spares triggers, and with them the look-up of each foreign key.
  await client.query('set local session_replication_role = replica')
  await client.query(`
    insert into ll.firm (id, name) select ${id('firm', 'n')}, 'Firm ' || n from generate_series(0, ${firms - 1}) n;
    insert into ll.program (id, name) select ${id('program', 'n')}, 'Program ' || n from generate_series(0, ${programs - 1}) n;
    insert into ll.plant (id, code, kind, registered_by)
      select ${id('plant', 'n')}, 'P-' || n, 'well', ${id('firm', `(n / ${plantsPerFirm})`)}
      from generate_series(0, ${firms * plantsPerFirm - 1}) n;
    insert into ll.firm_plant (firm_id, plant_id) select registered_by, id from ll.plant;
    insert into ll.tester (id, firm_id, code) select ${id('tester', 'n')}, ${id('firm', 'n')}, 'T-1' from generate_series(0, ${firms - 1}) n;
    insert into ll.program (id, name) values ('${idOf('program', 4095)}', 'A program without tests')`)
  await client.query(
    `insert into ll.context_snapshot (firm_id, sha256, plant_id, body)
     select registered_by, sha256(text), id, text from ll.plant, lateral (select $1::bytea || convert_to(code, 'UTF8') as text) body`,
    [sample.context],
  )
  await client.query(
    `insert into ll.field_test (id, firm_id, plant_id, tester_id, tested_on, received_at, edition, raw, raw_sha256, salt,
       context_sha256, evaluation_sha256, soundness, findings, flow_m3_s, head_m, lift_m, input_power_w, efficiency,
       efficiency_u, specific_capacity_m2_s, energy_per_volume_j_m3, key_id)
     select ${id('test', 'n')}, firm.id, ${id('plant', plant)}, ${id('tester', firm)}, ${day}, ${day} + time '18:00', '2026-1',
            $1, sha256($1), $2, snapshot.sha256, sha256($2), 'sound', $3, 0.05, 60, 40, 50000, 0.6, 0.02, 0.001, 1000000, 'filledfilled'
     from generate_series(0, ${tests - 1}) n
     join ll.firm on firm.id = ${id('firm', firm)}
     join ll.context_snapshot snapshot on snapshot.firm_id = firm.id and snapshot.plant_id = ${id('plant', plant)}`,
    [sample.raw, sample.salt, JSON.stringify(sample.findings)],
  )
  await client.query(
    `insert into ll.ledger_entry (index, leaf_hash, entry, kind, firm_id, subject)
     select row_number() over (order by id) - 1, $1, $2, 'test', firm_id, id from ll.field_test`,
    [sample.leafHash, sample.entry],
  )
  // One in three is given to a program; some of those were taken back, some of these given again.
  await client.query(`
    insert into ll.idempotency (firm_id, key, fingerprint, operation, status, resource_id)
      select firm_id, 'key-' || id, raw_sha256, 'tests.submit', 201, id from ll.field_test;
    insert into ll.test_program (test_id, program_id, turn, consent, consented_at, firm_id, tested_on, key_id)
      select test.id, ${id('program', `(n / 3) % ${programs}`)}, turn,
             case turn % 2 when 1 then 'given' else 'withdrawn' end, received_at, firm_id, tested_on, 'filledfilled'
      from generate_series(0, ${tests - 1}, 3) n join ll.field_test test on test.id = ${id('test', 'n')},
           generate_series(1, case when n % 5 = 0 then 3 when n % 7 = 0 then 2 else 1 end) turn;
    update ll.ledger_head set next = ${tests}`)
  // Each firm shares the history of its plants with the next two, and took it back from the second.
  await client.query(`
    insert into ll.firm_plant (firm_id, plant_id)
      select ${id('firm', `((n / ${plantsPerFirm} + 1) % ${firms})`)}, ${id('plant', 'n')} from generate_series(0, ${firms * plantsPerFirm - 1}) n;
    insert into ll.plant_history_consent (plant_id, from_firm, to_firm, turn, consent, consented_at, evidence, recorded_at, key_id)
      select ${id('plant', 'n')}, ${id('firm', `(n / ${plantsPerFirm})`)}, ${id('firm', `((n / ${plantsPerFirm} + nearness) % ${firms})`)}, turn,
             case turn when 1 then 'given' else 'withdrawn' end, now(), case turn when 1 then 'G-1' end, now(), 'filledfilled'
      from generate_series(0, ${firms * plantsPerFirm - 1}) n, generate_series(1, 2) nearness, generate_series(1, nearness) turn`)
  // Each test was read by its firm, by a program and by an auditor, in the hour in which it came.
  await client.query(`
    insert into ll.read_log (place, hour, at, key_id, role, firm_id, program_id, operation, test_id, request_id)
      select row_number() over (order by received_at, id, role) - 1, received_at, received_at, 'filledfilled', role,
             case role when 'firm' then firm_id end, case role when 'program' then ${id('program', '0')} end, 'tests.get', id,
             'request-filled'
      from ll.field_test, unnest(array['firm', 'program', 'auditor']) role`)
  // All but the last hundred are compared with the record; each has eight windows, of which it shares two with others.
  await client.query(`
    insert into ll.record_comparison (test_id, firm_id, plant_id, ordinal, ledger_index, edition, sha256, salt, rejects,
                                      holds, cautions, notes, compared_at)
      select test.id, test.firm_id, test.plant_id, entry.index, entry.index, '2026-1', test.raw_sha256, test.salt, 0, 0, 0, 0,
             test.received_at
      from ll.ledger_entry entry join ll.field_test test on test.id = entry.subject where entry.index < ${tests - 100};
    insert into ll.reading_window (hash, ordinal)
      select case when n < 2 then (ordinal / 40) * 8 + n else ordinal * 8 + n end, ordinal
      from ll.record_comparison, generate_series(0, 7) n`)
  await client.query('commit')
  await client.query('vacuum analyze')
}
