# A home of its own for an editor, with a folder of recipes in it, and the program on the path. To be read by a script that stands
# in the top folder of the sources.
tests="$PWD/tests/editor"
cargo build --locked
PATH="$(cd "${CARGO_TARGET_DIR:-target}/debug" && pwd):$PATH"
folder="$(mktemp -d)"
trap 'rm -rf "$folder"' EXIT
export HOME="$folder" XDG_CONFIG_HOME="$folder/config" XDG_DATA_HOME="$folder/data" XDG_STATE_HOME="$folder/state" XDG_CACHE_HOME="$folder/cache"
mkdir -p "$folder/config/nvim" "$folder/work/.git"
cat > "$folder/work/ladder.heat" <<'RECIPE'
let gap = 2 mm
# A rung of plain steel.
recipe rung(w: length = 40 mm) {
  stock s = 1 bar of 1084, 3 mm x w x 120 mm
  grind s edges gap
  give s
}
RECIPE
cat > "$folder/work/first.heat" <<'RECIPE'
use "ladder.heat"
stock a = rung(w = 30 mm)
grind  a edges gap
draw a to 2 mm thik
RECIPE
cat > "$folder/work/second.heat" <<'RECIPE'
use "ladder.heat"
stock b = rung()
RECIPE

# The first block of a language behind a heading of the page.
page_lines() {
  awk -v heading="$2" -v fence="\`\`\`$1" '
    index($0, heading) == 1 { here = 1 }
    here && $0 == "```" && inside { exit }
    inside { print }
    here && $0 == fence { inside = 1 }
  ' grammar/EDITORS.md
}
