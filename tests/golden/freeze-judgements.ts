/**
 * `node tests/golden/freeze-judgements.ts`: what the example rule set makes of the golden sheets, written anew. For an
 * edition that is not released: what changes is to be read line by line before it is kept.
 */
import { readFileSync, writeFileSync } from 'node:fs'
import { goldenCases } from '@liftledger/calc/testing'
import type { RuleSetContent } from '../../packages/service/src/programs/rules/schema.ts'
import { judgedInShort } from './judged-in-short.ts'

const file = (name: string): URL => new URL(`rule-sets/${name}`, import.meta.url)
const example = JSON.parse(readFileSync(file('ambermoor-3.json'), 'utf8')) as RuleSetContent
const judged = Object.fromEntries(goldenCases('2026-1').map((one) => [one.id, judgedInShort(example, one)]))
writeFileSync(file('judgements.json'), `${JSON.stringify(judged, null, 2)}\n`)
