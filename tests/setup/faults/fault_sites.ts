/** Places in the code where a small fault can be put, found in the syntax tree. */
import ts from "typescript";

/** A fault that can be put into a file. */
export interface FaultSite {
  readonly file: string;
  readonly line: number;
  /** What stands in that line. */
  readonly code: string;
  /** Where the expression stands in the file's text. */
  readonly from: number;
  readonly to: number;
  readonly right: string;
  readonly wrong: string;
}

/** What an operator is mistaken for. */
const OPERATORS: Readonly<Record<string, readonly string[]>> = {
  "+": ["-"],
  "-": ["+"],
  "*": ["/"],
  "/": ["*"],
  "%": ["*"],
  "<": ["<=", ">="],
  "<=": ["<", ">"],
  ">": [">=", "<="],
  ">=": [">", "<"],
  "===": ["!=="],
  "!==": ["==="],
  "&&": ["||"],
  "||": ["&&"],
  "+=": ["-="],
  "-=": ["+="],
  "*=": ["/="],
  "/=": ["*="],
};

/** What a function is mistaken for. */
const FUNCTIONS: Readonly<Record<string, string>> = {
  "Math.min": "Math.max",
  "Math.max": "Math.min",
  "Math.floor": "Math.ceil",
  "Math.ceil": "Math.floor",
  "Math.round": "Math.floor",
};

/**
 * All faults that can be put into a file: an operator or comparison mistaken for another, a number off by one (or, where it
 * is no whole number, twice as large), a condition turned round, the smaller taken for the larger. Sentences, and orders of
 * what is never equal, have none.
 *
 * @param file its name
 * @param text what is in it
 */
export function faultSites(file: string, text: string): readonly FaultSite[] {
  const source = ts.createSourceFile(file, text, ts.ScriptTarget.ESNext, true);
  const lines = text.split("\n");
  const sites: FaultSite[] = [];
  const visit = (node: ts.Node): void => {
    if (ts.isTypeNode(node) || ts.isImportDeclaration(node) || ts.isInterfaceDeclaration(node)) return;
    if (ts.isTemplateExpression(node) || isComparison(node)) return;
    for (const wrong of wrongOf(node)) {
      const from = node.getStart(source);
      const line = source.getLineAndCharacterOfPosition(from).line + 1;
      const code = lines[line - 1]!.trim();
      sites.push({ file, line, code, from, to: node.end, right: text.slice(from, node.end), wrong });
    }
    ts.forEachChild(node, visit);
  };
  ts.forEachChild(source, visit);
  return sites;
}

/** Texts by which an expression would be wrong. */
function wrongOf(node: ts.Node): readonly string[] {
  if (ts.isBinaryExpression(node)) {
    const [left, operator, right] = [node.left.getText(), node.operatorToken.getText(), node.right.getText()];
    if (operator === "+" && [node.left, node.right].some((one) => /["'`]/.test(one.getText()[0]!))) return [];
    const isGiven = operator.endsWith("=") && operator.length === 2 && !/[<>]/.test(operator);
    return (OPERATORS[operator] ?? []).map((other) =>
      isGiven ? `${left} ${other} ${right}` : `(${left}) ${other} (${right})`
    );
  }
  if (ts.isNumericLiteral(node) && !isName(node)) {
    const value = Number(node.text);
    return Number.isInteger(value) ? [`${value + 1}`] : [`${2 * value}`];
  }
  if (ts.isPrefixUnaryExpression(node)) {
    const isSign = [ts.SyntaxKind.ExclamationToken, ts.SyntaxKind.MinusToken].includes(node.operator);
    return isSign ? [`(${node.operand.getText()})`] : [];
  }
  if (ts.isPropertyAccessExpression(node)) return [FUNCTIONS[node.getText()]].filter((f) => f !== undefined);
  if (ts.isIfStatement(node.parent) && node.parent.expression === node) return [`!(${node.getText()})`];
  if (node.kind === ts.SyntaxKind.TrueKeyword) return ["false"];
  if (node.kind === ts.SyntaxKind.FalseKeyword) return ["true"];
  return [];
}

/** Whether it is `a < b ? -1 : 1`, by which names are put in order, no two of them alike. */
function isComparison(node: ts.Node): boolean {
  return ts.isConditionalExpression(node) && /^-1 : 1$/.test(node.getText().split("? ").at(-1)!);
}

/** Whether a number names a property. */
function isName(node: ts.NumericLiteral): boolean {
  return ts.isPropertyAssignment(node.parent) && node.parent.name === node;
}

/**
 * A file with faults in it that sleep until they are asked for: `faultIs(3)` is true where fault 3 is to be awake.
 *
 * @param text the file
 * @param faults faults of this file with their numbers, no two of them in one place
 */
export function withFaults(text: string, faults: readonly (readonly [number: number, FaultSite])[]): string {
  let out = text;
  for (const [number, { from, to, right, wrong }] of faults.toSorted(([, a], [, b]) => b.from - a.from)) {
    out = `${out.slice(0, from)}(faultIs(${number}) ? (${wrong}) : (${right}))${out.slice(to)}`;
  }
  return out;
}
