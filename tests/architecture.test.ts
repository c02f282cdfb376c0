/** Rules of the code that no linter knows. Who may import whom is in `.dependency-cruiser.mjs`. */
import { readdirSync, readFileSync } from 'node:fs'
import { join, relative } from 'node:path'
import { describe, expect, test } from 'vitest'

const ROOT = join(import.meta.dirname, '..')
const LINES_MAX = 400

/** TypeScript files below a folder, relative to the root; nothing installed, nothing generated. */
function sources(folder: string): string[] {
  return readdirSync(join(ROOT, folder), { withFileTypes: true, recursive: true })
    .filter((entry) => entry.isFile() && entry.name.endsWith('.ts'))
    .map((entry) => relative(ROOT, join(entry.parentPath, entry.name)))
    .filter((path) => !/(^|\/)(node_modules|generated)\//.test(path) && path !== 'packages/service/src/db/schema.ts')
    .sort()
}

const read = (path: string): string => readFileSync(join(ROOT, path), 'utf8')

/** The code of a file without its comments and texts, lines kept. */
function codeOf(text: string): string {
  return text.replaceAll(/\/\*[\s\S]*?\*\/|\/\/[^\n]*|'(?:[^'\\\n]|\\.)*'|"(?:[^"\\\n]|\\.)*"/g, (hidden) =>
    hidden.replaceAll(/[^\n]/g, ' '),
  )
}

/** `path:line: what` for every match of a pattern in the code of the files. */
function matches(paths: readonly string[], pattern: RegExp): string[] {
  return paths.flatMap((path) =>
    codeOf(read(path))
      .split('\n')
      .flatMap((line, i) => [...line.matchAll(pattern)].map(([found]) => `${path}:${i + 1}: ${found}`)),
  )
}

/** Functions whose last bits differ between engines; + − × ÷ √, rounding, comparison and magnitude are exact everywhere. */
const INEXACT =
  /\bMath\.(?:pow|exp|expm1|log|log10|log1p|log2|sin|cos|tan|asin|acos|atan|atan2|sinh|cosh|tanh|asinh|acosh|atanh|cbrt|hypot|random)\b|\*\*/g
const CLOCK = /\bDate\b|\bperformance\b|\bTemporal\b/g

describe('the calculation', () => {
  const calculation = sources('packages/calc/src').filter((path) => !/\.test\.ts$|\/testing\.ts$/.test(path))

  test('is all there', () => {
    expect(calculation).toContain('packages/calc/src/evaluate.ts')
    expect(calculation.length).toBeGreaterThan(60)
  })

  test('gives the same bits on every engine: no power, root, logarithm or angle beside the square root', () => {
    expect(matches(calculation, INEXACT)).toEqual([])
  })

  test('knows no clock', () => {
    expect(matches(calculation, CLOCK)).toEqual([])
  })

  test('would be caught: the patterns find what they are for, and not what only sounds like it', () => {
    const code = codeOf("const a = Math.pow(x, 2) + y ** 3 // Math.exp\nconst t = 'new Date()' /* ** */ + Math.sqrt(2)")
    expect([...code.matchAll(INEXACT)].map(([found]) => found)).toEqual(['Math.pow', '**'])
    expect([...code.matchAll(CLOCK)]).toEqual([])
    expect([...codeOf('Date.now()').matchAll(CLOCK)]).toHaveLength(1)
  })
})

test(`no file of ours is longer than ${LINES_MAX} lines`, () => {
  const tooLong = ['packages', 'seed', 'tests']
    .flatMap(sources)
    .map((path) => ({ path, lines: read(path).trimEnd().split('\n').length }))
    .filter(({ lines }) => lines > LINES_MAX)
  expect(tooLong).toEqual([])
})

test('who verifies the log from the standards alone takes nothing of ours', () => {
  const text = read('tests/outsider/verifier.ts')
  const taken = [...text.matchAll(/\b(?:from|import)\s+['"]([^'"]+)['"]/g)].map(([, from]) => from)
  expect(taken).toEqual(['node:crypto'])
  expect([...codeOf(text).matchAll(/\bimport\s*\(|\brequire\b|\bcreateRequire\b/g)]).toEqual([])
})
