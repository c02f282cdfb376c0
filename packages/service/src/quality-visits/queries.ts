/** What is asked of draws and visits: as a program its own, as an auditor all, as a firm where it is to test again. */
import { CompiledQuery, type Selectable, type Transaction } from 'kysely'
import type { Database, QualityDraw as DrawTable, QualityVisitStep as StepTable } from '../db/schema.ts'
import type { Part } from '../http/cursor.ts'
import type { Candidate } from './draw.ts'

type Tx = Transaction<Database>

const DRAW = [
  ...([
    'id',
    'program_id',
    'terms',
    'terms_sha256',
    'seed_sha256',
    'announcer',
    'announced_at',
    'ledger_index',
  ] as const),
  ...(['announcer_key', 'leaf_hash', 'drawer', 'drawn_at', 'drawn_ledger_index', 'outcome'] as const),
] as const
export type DrawRow = Pick<Selectable<DrawTable>, (typeof DRAW)[number]>

export async function findDraw(tx: Tx, id: string): Promise<DrawRow | undefined> {
  return tx.selectFrom('quality_draw').select(DRAW).where('id', '=', id).executeTakeFirst()
}

export async function listDraws(tx: Tx, { after, limit }: Part): Promise<DrawRow[]> {
  return tx
    .selectFrom('quality_draw')
    .select(DRAW)
    .$if(after !== undefined, (query) => query.where('id', '>', after!))
    .orderBy('id')
    .limit(limit)
    .execute()
}

export interface CandidateRow extends Candidate {
  readonly plantId: string
  readonly firmId: string
}

/** More are not weighed at once; a draw over fewer days has fewer. */
export const CANDIDATES_MAX = 50_000

/**
 * Tests that the program had when the draw was announced and has still, of the days asked for, that stand, are not
 * unsound, tell an efficiency, and were never drawn before. One more than may be weighed, to tell that there are more.
 */
export async function candidatesFor(
  tx: Tx,
  draw: { readonly program_id: string; readonly announced_at: Date },
  { from, until }: { readonly from: string; readonly until: string },
): Promise<CandidateRow[]> {
  const { rows } = await tx.executeQuery<{
    id: string
    plant_id: string
    firm_id: string
    has_hold: boolean
    has_caution: boolean
    turn_of_tester: number
    expanded_share: number | null
  }>(
    CompiledQuery.raw(
      `with had as (
         select test.id, test.plant_id, test.firm_id, test.tested_on, test.findings, test.efficiency, test.efficiency_u,
                test.soundness,
                row_number() over (partition by test.tester_id order by test.tested_on, test.id) as turn_of_tester
         from ll.field_test test
         where exists (select from ll.test_program given
                       where given.test_id = test.id and given.program_id = $1 and given.consent = 'given'
                         and given.recorded_at <= $2)
           and not exists (select from ll.test_closure closed where closed.test_id = test.id)
       )
       select id, plant_id, firm_id, turn_of_tester::int, efficiency_u / efficiency as expanded_share,
              exists (select from json_array_elements(findings) found where found ->> 'severity' = 'hold')
                or coalesce(by_record.holds > 0, false) as has_hold,
              exists (select from json_array_elements(findings) found where found ->> 'severity' = 'caution')
                or coalesce(by_record.cautions > 0, false) as has_caution
       from had
       left join lateral (select holds, cautions, verdict from ll.record_comparison comparison
                          where comparison.test_id = had.id) by_record on true
       where tested_on between $3 and $4 and ll.worse_soundness(soundness, by_record.verdict) <> 'unsound' and efficiency > 0
         and not exists (select from ll.quality_visit_step drawn
                         where drawn.program_id = $1 and drawn.test_id = had.id and drawn.turn = 0)
       order by id limit $5`,
      [draw.program_id, draw.announced_at, from, until, CANDIDATES_MAX + 1],
    ),
  )
  return rows.map((row) => ({
    testId: row.id,
    plantId: row.plant_id,
    firmId: row.firm_id,
    hasHold: row.has_hold,
    hasCaution: row.has_caution,
    turnOfTester: row.turn_of_tester,
    expandedShare: row.expanded_share ?? undefined,
  }))
}

const STEP = [
  ...(['visit_id', 'turn', 'draw_id', 'program_id', 'test_id', 'plant_id', 'firm_id', 'step'] as const),
  ...(['assigned_firm', 'test_from', 'test_until', 'retest_id', 'reason', 'at'] as const),
] as const
/** The last step of a visit. */
export type VisitRow = Pick<Selectable<StepTable>, (typeof STEP)[number]>

const lastSteps = (tx: Tx) =>
  tx.selectFrom('quality_visit_step').select(STEP).distinctOn('visit_id').orderBy('visit_id').orderBy('turn', 'desc')

export async function findVisit(tx: Tx, id: string): Promise<VisitRow | undefined> {
  return lastSteps(tx).where('visit_id', '=', id).executeTakeFirst()
}

export async function listVisits(tx: Tx, drawId: string, { after, limit }: Part): Promise<VisitRow[]> {
  return lastSteps(tx)
    .where('draw_id', '=', drawId)
    .$if(after !== undefined, (query) => query.where('visit_id', '>', after!))
    .limit(limit)
    .execute()
}

const ASSIGNED = ['visit_id', 'turn', 'program_id', 'plant_id', 'step', 'test_from', 'test_until', 'at'] as const
export type AssignmentRow = Pick<Selectable<StepTable>, (typeof ASSIGNED)[number]>

/** Of the firm that asks, which sees no other steps. */
export async function listAssignments(tx: Tx, { after, limit }: Part): Promise<AssignmentRow[]> {
  return tx
    .selectFrom('quality_visit_step')
    .select(ASSIGNED)
    .distinctOn('visit_id')
    .$if(after !== undefined, (query) => query.where('visit_id', '>', after!))
    .orderBy('visit_id')
    .orderBy('turn', 'desc')
    .limit(limit)
    .execute()
}
