/** `/v1/programs/{id}/tests/{test}/judgement`: a test by the rules that were in force on its day. */
import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import { Type } from 'typebox'
import type { Deps } from '../deps.ts'
import { readTest } from '../field-tests/load.ts'
import { Id, toWire, uuidOf } from '../http/ids.ts'
import { notFound } from '../http/problem.ts'
import { Judgement } from './judgement-schemas.ts'
import { findAround } from './material-queries.ts'
import { type PublishedVersion, publishedVersions } from './rule-set-queries.ts'
import { type JudgedTest, judge } from './rules/judge.ts'
import type { Material } from './rules/material.ts'
import { standingUnder } from './rules/soundness.ts'
import { inForceOn } from './rules/versions.ts'

const Params = Type.Object({
  programId: Id('program', 'Id of the program.'),
  testId: Id('test', 'Id of the test.'),
})

export const judgementRoutes: FastifyPluginAsyncTypebox<Pick<Deps, 'databases'>> = async (app, { databases }) => {
  app.get(
    '/v1/programs/:programId/tests/:testId/judgement',
    {
      config: {
        access: { roles: ['firm', 'program', 'auditor'], scope: 'tests:read' },
        readLog: { of: 'test' },
        problems: ['conflict'],
      },
      schema: {
        operationId: 'programs.judgeTest',
        tags: ['Rule sets'],
        summary: 'Judge a test by a program’s rules',
        description:
          'By the version in force on the day of the test: each rule with its facts and where they stand, the value ' +
          'wanted, and whether it is met, not met or not decidable since a fact is missing; soundness for the program; ' +
          'the amount before caps, line by line. Tests given to the program before count as paid, since payments are not ' +
          'kept here; a firm is not told of those of other firms, so that an interval may be open for it.',
        params: Params,
        response: { 200: Judgement },
      },
    },
    async ({ principal, params }): Promise<Judgement> => {
      const program = uuidOf('program', params.programId)
      const id = uuidOf('test', params.testId)
      const { material, versions } = await databases.asPrincipal(principal, async (tx) => {
        const around = await findAround(tx, program, id)
        // A program has no business with another one’s rules, nor with whether it has the test.
        const isOther = principal.role === 'program' && principal.programId !== program
        if (around === undefined || isOther) throw notFound('test', params.testId)
        const { sheet, context, evaluation, edition } = await readTest(tx, id)
        const beforeMayBeLater = principal.role === 'firm'
        const material: Material = { sheet, context, evaluation, edition, ...around, beforeMayBeLater }
        return { material, versions: await publishedVersions(tx, program) }
      })
      const { testedOn } = material.sheet
      const version = inForceOn(versions, testedOn)
      const about = { testId: params.testId, programId: params.programId, testedOn }
      return {
        ...about,
        ...(version === undefined ? unjudged(material) : judged(version, judge(version.content, material))),
      }
    },
  )
}

type Told = Omit<Judgement, 'testId' | 'programId' | 'testedOn'>

/** No version was in force: its soundness is that of its findings and the program’s decisions. */
const unjudged = (material: Material): Told => ({
  ...standingOf(standingUnder(NO_CHANGES, material)),
  eligibility: 'not-decidable',
  payable: false,
  rules: [],
})
const NO_CHANGES = { findings: {} }

const standingOf = ({ soundness, findings }: Pick<JudgedTest, 'soundness' | 'findings'>) => ({
  soundness,
  findings: findings.map(({ run, ...finding }) => ({ ...finding, ...(run !== undefined && { run }) })),
})

function judged({ id, version, contentSha256 }: PublishedVersion, test: JudgedTest): Told {
  const { amount, rules, eligibility, payable } = test
  return {
    ruleSet: { id: toWire('rule set', id), version, contentSha256 },
    ...standingOf(test),
    eligibility,
    payable,
    amount: {
      ...amount,
      steps: amount.steps.map((step) => ({ ...step, facts: factsOf(step.facts) })),
      open: [...amount.open],
    },
    rules: rules.map((rule) => ({ ...rule, facts: factsOf(rule.facts) })),
  }
}

type Facts = JudgedTest['rules'][number]['facts']

/** A fact without any test before is one longer ago than any rule asks: a number that says nothing to a reader. */
const factsOf = (facts: Facts): Judgement['rules'][number]['facts'] =>
  facts.map((fact) => ({ ...fact, values: fact.values.filter(({ value }) => value !== Number.MAX_SAFE_INTEGER) }))
