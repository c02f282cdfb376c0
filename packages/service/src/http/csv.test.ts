import { describe, expect, test } from 'vitest'
import { toCsv } from './csv.ts'

const line = (value: string | number | undefined) => toCsv(['a'], [{ a: value }]).split('\r\n')[1]

describe('CSV', () => {
  test('has a header, lines that end in CR LF, and empty cells for what is absent', () => {
    const rows: { day: string; lift?: number }[] = [{ day: '2026-03-10', lift: 38.5 }, { day: '2026-04-14' }]
    expect(toCsv(['day', 'lift'], rows)).toBe('day,lift\r\n2026-03-10,38.5\r\n2026-04-14,\r\n')
    expect(toCsv(['day'], [])).toBe('day\r\n')
  })

  // RFC 4180, 2.5 to 2.7.
  test.each([
    ['a,b', '"a,b"'],
    ['say "so"', '"say ""so"""'],
    ['', ''],
    [0, '0'],
  ])('writes %j as %s', (value, cell) => {
    expect(line(value)).toBe(cell)
  })

  test('keeps line breaks inside quotes', () => {
    expect(toCsv(['a'], [{ a: 'x\r\ny' }])).toBe('a\r\n"x\r\ny"\r\n')
  })

  // What spreadsheets take for a formula: OWASP, "CSV Injection" (from memory).
  test.each([
    ['=1+1', "'=1+1"],
    ['+cmd', "'+cmd"],
    ['-x', "'-x"],
    ['@SUM(A1)', "'@SUM(A1)"],
    ['\tx', "'\tx"],
    ['=a,b', `"'=a,b"`],
    ['-0.5', '-0.5'],
    [-1.5e-7, '-1.5e-7'],
    ['+12', '+12'],
    ['-1+1', "'-1+1"],
  ])('makes no formula of %j', (value, cell) => {
    expect(line(value)).toBe(cell)
  })
})
