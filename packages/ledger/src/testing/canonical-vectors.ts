/** Canonical JSON as published beside RFC 8785: repository cyberphone/json-canonicalization, testdata. */
import { readdirSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import { toHex } from '../bytes.ts'
import { canonicalBytes, canonicalJson } from '../canonical-json.ts'
import { same, type VectorCase, type VectorSuite, vectorFolder } from './suite.ts'

/** Text in, text out. */
export interface CanonicalFact {
  readonly fact: string
  readonly source: string
  readonly input: string
  readonly output: string
}

export const canonicalFacts: readonly CanonicalFact[] = [
  {
    fact: 'numbers, escapes and literals of the sample',
    source: 'RFC 8785 (2020), 3.2.2 sample object, 3.2.3 its result; from memory',
    input:
      '{"numbers":[333333333.33333329,1E30,4.50,2e-3,0.000000000000000000000000001],' +
      '"string":"\\u20ac$\\u000F\\u000aA\'\\u0042\\u0022\\u005c\\\\\\"\\/","literals":[null,true,false]}',
    output:
      '{"literals":[null,true,false],"numbers":[333333333.3333333,1e+30,4.5,0.002,1e-27],' +
      '"string":"€$\\u000f\\nA\'B\\"\\\\\\\\\\"/"}',
  },
  {
    fact: 'members are sorted by UTF-16 code units, not by code points',
    source: 'RFC 8785 (2020), 3.2.3, sorting example; from memory',
    input:
      '{"\\u20ac":"Euro Sign","\\r":"Carriage Return","\\ufb33":"Hebrew Letter Dalet With Dagesh","1":"One",' +
      '"\\ud83d\\ude00":"Emoji: Grinning Face","\\u0080":"Control","\\u00f6":"Latin Small Letter O With Diaeresis"}',
    output:
      '{"\\r":"Carriage Return","1":"One","\u0080":"Control","ö":"Latin Small Letter O With Diaeresis",' +
      '"€":"Euro Sign","😀":"Emoji: Grinning Face","\ufb33":"Hebrew Letter Dalet With Dagesh"}',
  },
  { fact: 'minus zero is zero', source: 'RFC 8785 (2020), appendix B; from memory', input: '-0', output: '0' },
  {
    fact: 'the smallest and the largest number',
    source: 'RFC 8785 (2020), appendix B; from memory',
    input: '[5e-324,1.7976931348623157e308]',
    output: '[5e-324,1.7976931348623157e+308]',
  },
  {
    fact: 'the exponent begins at 1e21',
    source: 'RFC 8785 (2020), appendix B; from memory',
    input: '[999999999999999900000,1e21,1e-6,1e-7]',
    output: '[999999999999999900000,1e+21,0.000001,1e-7]',
  },
]

function published(folder: string): VectorCase[] {
  const read = (...path: string[]): string => readFileSync(join(folder, 'testdata', ...path), 'utf8')
  return readdirSync(join(folder, 'testdata/input')).flatMap((name) => {
    const value = (): unknown => JSON.parse(read('input', name))
    const hex = (): string => read('outhex', name.replace('.json', '.txt')).replaceAll(/\s/g, '')
    return [
      { name: `output/${name}`, check: () => same(canonicalJson(value()), read('output', name).trimEnd(), 'the text') },
      { name: `outhex/${name}`, check: () => same(toHex(canonicalBytes(value())), hex(), 'the bytes') },
    ]
  })
}

const folder = vectorFolder('rfc8785')

export const canonicalSuite: VectorSuite = {
  id: 'vectors.canonical',
  source: folder === undefined ? 'RFC 8785 (2020), examples' : 'cyberphone/json-canonicalization, output and outhex',
  full: folder !== undefined,
  cases:
    folder === undefined
      ? canonicalFacts.map(({ fact, input, output }) => ({
          name: fact,
          check: () => same(canonicalJson(JSON.parse(input)), output, 'the text'),
        }))
      : published(folder),
}
