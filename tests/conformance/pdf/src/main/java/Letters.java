import com.fasterxml.jackson.databind.ObjectMapper;
import java.io.BufferedReader;
import java.io.FileInputStream;
import java.io.InputStreamReader;
import java.nio.charset.StandardCharsets;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import org.verapdf.gf.foundry.VeraGreenfieldFoundryProvider;
import org.verapdf.pdfa.Foundries;
import org.verapdf.pdfa.PDFAParser;
import org.verapdf.pdfa.PDFAValidator;
import org.verapdf.pdfa.flavours.PDFAFlavour;
import org.verapdf.pdfa.results.TestAssertion;

/**
 * Checks PDF files against PDF/UA-1 and PDF/A-2a: for each path on standard input one line in JSON, with the
 * failures of each profile and how many of its checks ran.
 */
public final class Letters {
  private static final List<PDFAFlavour> PROFILES = List.of(PDFAFlavour.PDFUA_1, PDFAFlavour.PDFA_2_A);

  private Letters() {}

  /** Answers one path a line. */
  public static void main(String[] arguments) throws Exception {
    VeraGreenfieldFoundryProvider.initialise();
    var json = new ObjectMapper();
    var paths = new BufferedReader(new InputStreamReader(System.in, StandardCharsets.UTF_8));
    for (String path = paths.readLine(); path != null; path = paths.readLine()) {
      Map<String, Object> answer = new LinkedHashMap<>();
      for (var profile : PROFILES) {
        answer.put(profile.getId(), checked(path, profile));
      }
      System.out.println(json.writeValueAsString(answer));
    }
  }

  private static Map<String, Object> checked(String path, PDFAFlavour profile) throws Exception {
    try (var content = new FileInputStream(path);
        PDFAParser parser = Foundries.defaultInstance().createParser(content, profile);
        PDFAValidator validator = Foundries.defaultInstance().createValidator(profile, false)) {
      var result = validator.validate(parser);
      List<String> failures = new ArrayList<>();
      for (TestAssertion one : result.getTestAssertions()) {
        if (one.getStatus() != TestAssertion.Status.PASSED) {
          failures.add(one.getRuleId().getClause() + "-" + one.getRuleId().getTestNumber() + " " + one.getMessage());
        }
      }
      return Map.of("compliant", result.isCompliant(), "checks", result.getTotalAssertions(), "failures", failures);
    }
  }
}
